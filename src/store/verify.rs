//! Reads a changed text again before it is written: nothing is ever written that could not be read.

use crate::client::{Client, ClientId, Session, TakenBack};

use super::error::StoreError;
use super::{format, read};
use crate::document::Source;

/// A changed text, if it says what it should.
pub(crate) fn client(
    id: &ClientId,
    changed: Source,
    what: &str,
    expected: impl Fn(&Client) -> bool,
) -> Result<Source, StoreError> {
    match read::client(id, &changed) {
        Ok((client, _)) if expected(&client) => Ok(changed),
        _ => Err(unfit(what)),
    }
}

/// Whether the text of one session's block says that session and nothing else.
pub(crate) fn is_session(block: &str, (session, gone): (&Session, Option<&TakenBack>)) -> bool {
    let block = Source::made("session".as_ref(), block.to_owned());
    let found = format::session_blocks(&block);
    let is_it =
        |(found, taken_back): &(Session, Option<TakenBack>)| found == session && taken_back.as_ref() == gone;
    found.is_ok_and(|found| matches!(found.as_slice(), [found] if is_it(found)))
}

/// That a value does not fit the way a file is written.
pub(crate) fn unfit(what: &str) -> StoreError {
    StoreError::Unfit {
        what: what.to_owned(),
        why: "it does not fit the way the file is written; make the change in the file by hand".to_owned(),
    }
}
