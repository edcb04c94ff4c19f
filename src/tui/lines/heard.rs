//! What comes in where the screens are lines.

/// What was heard while waiting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Heard {
    /// A line.
    Line(String),
    /// A line of which nothing is done, and why.
    Refused(&'static str),
    /// What is to be said to the trainer.
    Noticed(String),
    /// That nothing will come any more.
    End,
    /// That the program is told to end.
    Told,
}
