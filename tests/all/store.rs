//! The data folder, as the rest of the program and a person with an editor see it.

mod any;
mod checked;
mod copies;
mod encrypted;
mod format;
mod hostile;
pub(crate) mod killed;
mod laptops;
mod laws;
pub(crate) mod sample;
mod strange;
mod together;
mod toml_1_0;
mod writing;
