//! A form that may be done today, before anything is said of its doses.

use crate::body::Side;
use crate::catalogue::{Form, Method};
use crate::caution::Allowance;

/// One form that may be done, with what is allowed on each working.
pub(super) struct Usable<'a> {
    pub(super) index: usize,
    pub(super) form: &'a Form,
    /// By side (none: both at once) and method.
    pub(super) allowed: Vec<(Option<Side>, Method, Allowance)>,
}
