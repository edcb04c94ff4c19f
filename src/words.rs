//! Things of the trade as words: the one place where what is judged becomes sentences, for screens and hand-outs alike.

mod claim;
mod norm;

pub use claim::ClaimWords;
pub use norm::cited;
