//! Pages of a client, written into a folder, and what is said of that.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use crate::catalogue::Catalogue;
use crate::client::{ClientId, Trainer};
use crate::handout::leaflets::{LeafletWish, leaflets};
use crate::store::{Store, StoreError};
use crate::text;

/// Writes what is wished for and says in one line which pages, where, and why there is none of the others.
pub(super) fn write(
    store: &Store,
    (id, wish, to): (&ClientId, &LeafletWish, Option<PathBuf>),
    catalogue: &Arc<Catalogue>,
    trainer: &Trainer,
    now: DateTime<FixedOffset>,
) -> Result<String, StoreError> {
    let client = store.load(id)?;
    let (pages, missing) = leaflets(&client, catalogue, trainer, now.date_naive(), wish);
    let missing = missing.join("; ");
    if pages.is_empty() {
        return Ok(missing);
    }
    let folder = to.map_or_else(Store::out_folder, Ok)?;
    for page in &pages {
        Store::hand_out(&folder, &page.name, page.text.as_bytes())?;
    }
    let kinds: Vec<&str> = pages.iter().map(|page| page.kind.words()).collect();
    let open = if store.is_encrypted() { "; not locked: whoever has them can read them" } else { "" };
    let gap = if missing.is_empty() { "" } else { "; " };
    Ok(format!("written into {}: {}{gap}{missing}{open}", folder.display(), text::list(&kinds)))
}
