//! The data folder, as the rest of the program and a person with an editor see it.

mod sample;
mod writing;
