//! The live closing block as a pure state machine that is told the time.
