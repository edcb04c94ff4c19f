//! The stretches that a plan may choose from: built-in data, and a trainer's own through the same checks.

pub mod form;

pub use form::{
    ContractRelax, Cues, Equipment, Form, FormId, Helper, Method, MotionAngle, PlacedMotion, Position, Sides,
    Stretch, StretchId, Target,
};

/// A checked set of stretches, sorted by id.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Catalogue {
    // Invariant: sorted by id, no id twice.
    stretches: Vec<Stretch>,
}

impl Catalogue {
    /// All stretches, sorted by id.
    pub fn stretches(&self) -> &[Stretch] {
        &self.stretches
    }

    /// The stretch of that id.
    pub fn stretch(&self, id: &StretchId) -> Option<&Stretch> {
        self.stretches.binary_search_by(|stretch| stretch.id.cmp(id)).ok().map(|index| &self.stretches[index])
    }

    /// A stretch and one of its forms.
    pub fn form(&self, stretch: &StretchId, form: &FormId) -> Option<(&Stretch, &Form)> {
        let stretch = self.stretch(stretch)?;
        Some((stretch, stretch.form(form)?))
    }
}
