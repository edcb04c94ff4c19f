//! What is wrong with the data of conditions.

/// What is wrong with a condition's data.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}: {place}: {message}")]
pub struct ConditionFlaw {
    /// The file.
    pub file: String,
    /// The condition, or what the reader says about the place.
    pub place: String,
    /// What is wrong.
    pub message: String,
}
