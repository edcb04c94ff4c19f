//! Things of the trade as words: the one place where what is judged becomes sentences, for screens and hand-outs alike.

mod amount;
mod claim;
pub mod date;
mod norm;
mod quarter;

pub use amount::{dose, guidance};
pub use claim::{ClaimWords, told};
pub use norm::cited;
pub use quarter::{answers_by_quarter, seconds_by_quarter, work_by_quarter};
