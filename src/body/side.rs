//! Left and right, always the client's own.

use crate::names::named;

named! {
    /// A side of the client's body.
    pub enum Side("side") {
        /// The client's left.
        Left = "left",
        /// The client's right.
        Right = "right",
    }
}

impl Side {
    /// The opposite side.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}
