//! Removes everything about a client from the data folder.

use std::fs;
use std::path::{Path, PathBuf};

use crate::client::ClientId;

use super::error::StoreError;
use super::layout::Layout;

/// Everything in the data folder that is about one client, the client's own file first.
pub(crate) fn belongings(layout: &Layout, id: &ClientId) -> Result<Vec<PathBuf>, StoreError> {
    let own = layout.client(id);
    let mut found = Vec::new();
    if own.symlink_metadata().is_ok() {
        found.push(own.clone());
    }
    let ids = layout.client_ids()?;
    let beside = names(&layout.clients())?.into_iter().chain(names(&layout.earlier())?);
    let mut others: Vec<PathBuf> = beside.filter(|path| owner(path, &ids) == Some(id)).collect();
    others.sort();
    found.extend(others);
    Ok(found)
}

/// Files that something else, such as a synchronising service, left beside the clients' own, each with whose copy
/// it seems to be. Half-written tails that were set aside and temporary files are not copies.
pub(crate) fn copies(layout: &Layout) -> Result<Vec<(ClientId, PathBuf)>, StoreError> {
    let ids = layout.client_ids()?;
    let mut copies: Vec<(ClientId, PathBuf)> = names(&layout.clients())?
        .into_iter()
        .filter(|path| !is_torn(path) && !is_temporary(path))
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .filter_map(|path| owner(&path, &ids).cloned().map(|id| (id, path)))
        .collect();
    copies.sort();
    Ok(copies)
}

/// Whether a file is a half-written tail that was set aside.
pub(crate) fn is_torn(path: &Path) -> bool {
    let stem = path.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
    stem.rsplit_once(".torn-").is_some_and(|(_, number)| number.parse::<u32>().is_ok())
}

/// Whether a file is one that was being written when the program ended.
pub(crate) fn is_temporary(path: &Path) -> bool {
    let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
    name.starts_with('.') && path.extension().is_some_and(|ending| ending == "tmp")
}

/// Every name in a folder; none if there is no folder.
pub(crate) fn names(folder: &Path) -> Result<Vec<PathBuf>, StoreError> {
    match fs::read_dir(folder) {
        Ok(entries) => entries
            .map(|entry| entry.map(|entry| entry.path()))
            .collect::<Result<_, _>>()
            .map_err(StoreError::io("list", folder)),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(Vec::new()),
        Err(error) => Err(StoreError::io("list", folder)(error)),
    }
}

/// Whose file it is by its name: the id with which it begins, followed by something no id goes on with.
///
/// A file that begins with another id is not taken for a client's whose id is shorter, even if the other client is gone.
pub(crate) fn owner<'i>(path: &Path, ids: &'i [ClientId]) -> Option<&'i ClientId> {
    let name = path.file_name()?.to_str()?;
    let name = name.strip_prefix('.').unwrap_or(name);
    if name.strip_suffix(".toml").is_some_and(|stem| ClientId::new(stem).is_ok()) {
        return None;
    }
    let begins = beginning(name)?;
    ids.iter().find(|id| id.as_str() == begins)
}

/// Whose lock whoever writes a temporary file holds, by its name.
pub(crate) fn writer(path: &Path) -> Option<ClientId> {
    let name = path.file_name()?.to_str()?;
    ClientId::new(beginning(name.strip_prefix('.').unwrap_or(name))?).ok()
}

/// The id with which a name begins.
fn beginning(name: &str) -> Option<&str> {
    let is_of_id = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    Some(name.split(|c| !is_of_id(c)).next()?.trim_end_matches('-'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_belongs_to_the_id_that_its_name_begins_with() {
        let ids = ["rosa", "rosa-b"].map(|word| ClientId::new(word).expect("plain word"));
        let whose = |name: &str| owner(Path::new(name), &ids).map(ClientId::as_str);
        assert_eq!(whose("rosa (1).toml"), Some("rosa"));
        assert_eq!(whose("rosa.sync-conflict-20261120-184500-ABC.toml"), Some("rosa"));
        assert_eq!(whose("rosa-b 2.toml"), Some("rosa-b"));
        assert_eq!(whose("rosa-b.torn-1.toml"), Some("rosa-b"));
        assert_eq!(whose(".rosa.x7Yz.tmp"), Some("rosa"));
        assert_eq!(whose("rosa.toml"), None);
        assert_eq!(whose("rosalind.toml"), None);
        assert_eq!(whose("rosa-c (1).toml"), None, "that was another client's, who is gone");
        assert_eq!(whose("rosa-(1).toml"), Some("rosa"));
    }
}
