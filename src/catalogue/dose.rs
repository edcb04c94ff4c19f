//! How long a form is worked: a still hold, or cycles of push and stretch.

use crate::body::Seconds;
use crate::names::named;

named! {
    /// How a form is worked.
    pub enum Method("method") {
        /// Held still.
        Static = "static",
        /// Push against the hand, relax, go further; also called PNF in the trade.
        ContractRelax = "contract-relax",
    }
}

/// How contract-relax is dosed: `cycles` times a push against the hand and a further stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ContractRelax {
    /// How often.
    pub cycles: u8,
    /// Length of one push.
    pub push: Seconds,
    /// Length of the stretch after each push.
    pub stretch: Seconds,
}

/// How long a form is worked on one side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dose {
    /// One still hold.
    Hold(Seconds),
    /// Cycles of push and stretch.
    ContractRelax(ContractRelax),
}

impl Dose {
    /// The method it belongs to.
    pub const fn method(self) -> Method {
        match self {
            Self::Hold(_) => Method::Static,
            Self::ContractRelax(_) => Method::ContractRelax,
        }
    }

    /// Seconds under stretch, without pushes.
    pub fn held(self) -> Seconds {
        match self {
            Self::Hold(hold) => hold,
            Self::ContractRelax(dose) => dose.stretch * u32::from(dose.cycles),
        }
    }

    /// Seconds from the first touch of the stretch to its end, pushes included, set-up not.
    pub fn length(self) -> Seconds {
        match self {
            Self::Hold(hold) => hold,
            Self::ContractRelax(dose) => (dose.push + dose.stretch) * u32::from(dose.cycles),
        }
    }
}
