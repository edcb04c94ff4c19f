//! What other systems do not know, so that it is tested on Linux, macOS and their kin alone: signals that a program is
//! sent, links, the rights of a file's owner, a shell that limits how far a file may grow. All other tests are run on
//! every system.

mod files;
#[cfg(target_os = "linux")]
mod linux;
mod signals;
mod spoken;
mod under_wine;
