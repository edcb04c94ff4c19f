//! What the environment says: variables, the user's own folders.

use std::path::PathBuf;
use std::{env, io};

use etcetera::base_strategy::{BaseStrategy as _, choose_native_strategy};

/// A variable of the environment; empty where it is not set or no text.
pub fn variable(name: &str) -> String {
    env::var(name).unwrap_or_default()
}

/// The system's place for files that are not to be kept.
pub fn temporary_folder() -> PathBuf {
    env::temp_dir()
}

/// Where the running program lies.
///
/// # Errors
/// If the system does not say.
pub fn own_path() -> io::Result<PathBuf> {
    env::current_exe()
}

/// Whether a program of that name is on the path.
pub fn is_program(name: &str) -> bool {
    let path = env::var_os("PATH").unwrap_or_default();
    let file = format!("{name}{}", env::consts::EXE_SUFFIX);
    env::split_paths(&path).any(|folder| folder.join(&file).is_file())
}

/// The usual place for what this user's programs keep, if the system says where the user's home is.
///
/// On Windows that is the part of the profile that stays on this machine: what moves with the user is copied at each
/// logging in, while a block may be running on another machine. A folder that was made there before is still used.
pub fn data_folder(name: &str) -> Option<PathBuf> {
    let places = choose_native_strategy().ok()?;
    let roaming = places.data_dir().join(name);
    let own = if cfg!(windows) { places.cache_dir().join(name) } else { roaming.clone() };
    Some(if roaming.is_dir() && !own.is_dir() { roaming } else { own })
}

/// The user's home, if the system says where it is.
pub fn home_folder() -> Option<PathBuf> {
    etcetera::home_dir().ok()
}

/// Whether the terminal shows every colour, as far as the system says so: the consoles of Windows do since 2017, and
/// set no variable for it.
pub fn shows_true_colour() -> bool {
    cfg!(windows) || matches!(variable("COLORTERM").as_str(), "truecolor" | "24bit")
}
