//! A client whose file has a fault is somebody, though the list does not have the name.

use crate::tui::shared::Shared;
use crate::tui::text;

/// Which client's or other file a problem is about, if it is about one.
pub(super) fn unread_file(problem: &str) -> Option<&str> {
    let (path, what) = problem.split_once(".toml")?;
    path.rsplit(['/', '\\']).next().filter(|_| what.starts_with(':'))
}

/// What is said where what is typed fits nobody but a file that cannot be read: which, where, and what now.
pub(super) fn unreadable(typed: &str, shared: &Shared) -> Option<String> {
    let problems = shared.roster.iter().flat_map(|roster| &roster.problems);
    let typed = typed.trim();
    problems.filter(|_| !typed.is_empty()).find_map(|problem| {
        let (path, what) = problem.split_once(".toml")?;
        let id = path.rsplit(['/', '\\']).next()?;
        // A name that is typed in full has more words than the file's name.
        let fits = text::matches(&id.replace('-', " "), typed)
            || typed.split_whitespace().any(|word| word.chars().count() > 3 && text::matches(id, word));
        fits.then(|| format!("{id} has a fault: {}. No new card is made.", place(what)))
    })
}

/// `:3:8: what` as a line and what.
fn place(what: &str) -> String {
    let mut parts = what.trim_start_matches(':').splitn(3, ':');
    match (parts.next(), parts.next(), parts.next()) {
        (Some(line), Some(column), Some(what))
            if line.parse::<u32>().is_ok() && column.parse::<u32>().is_ok() =>
        {
            format!("line {line}, {}", what.trim())
        }
        _ => what.trim_start_matches([':', ' ']).to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_place_in_a_file_is_said_by_its_line() {
        assert_eq!(place(":3:8: invalid date"), "line 3, invalid date");
        assert_eq!(place(": cannot be opened"), "cannot be opened");
    }
}
