//! Writes a session anew that stands in a file.

use crate::client::{Client, Session};
use crate::document::Source;

use super::error::StoreError;
use super::locked_file::LockedFile;
use super::{one_session, patch};

/// Changes one session in a file that was just read: alone where that can be, else with the whole text.
pub(crate) fn session(
    writer: &mut LockedFile,
    (source, client): (&Source, &Client),
    old: &Session,
    new: &Session,
) -> Result<(), StoreError> {
    let part = one_session::is_alone(client, old.at).then(|| writer.part_of(old.at)).flatten();
    if let Some(part) = part.filter(|part| part.session == *old) {
        let text = part.changed(new)?;
        return writer.put_part(&part, &text);
    }
    let changed = patch::session(source, (old, None), (new, None))?;
    writer.put(source, &changed)
}
