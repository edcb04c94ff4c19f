//! The list of other names: what people type for a muscle, a joint, a position or a condition, and what it means.

use std::sync::LazyLock;

/// A name that people type, and the ids that it stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OtherName {
    /// What kind of thing: `muscle`, `joint`, `position`, `condition`.
    pub kind: &'static str,
    /// The name.
    pub name: &'static str,
    /// The ids, divided by blanks.
    ids: &'static str,
}

impl OtherName {
    /// The ids that it stands for.
    pub fn ids(&self) -> impl Iterator<Item = &'static str> {
        self.ids.split(' ')
    }
}

/// All other names of one kind, in the order of the list.
pub fn other_names(kind: &str) -> impl Iterator<Item = &'static OtherName> {
    static ROWS: LazyLock<Vec<OtherName>> = LazyLock::new(|| {
        include_str!("other-names.csv")
            .lines()
            .filter(|line| !line.starts_with('#'))
            .filter_map(row)
            .collect()
    });
    ROWS.iter().filter(move |row| row.kind == kind)
}

fn row(line: &'static str) -> Option<OtherName> {
    let mut fields = line.split(',');
    let (kind, name, ids) = (fields.next()?, fields.next()?, fields.next()?);
    fields.next().is_none().then_some(OtherName { kind, name, ids })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_list_is_a_row_and_no_name_stands_twice() {
        let lines = include_str!("other-names.csv").lines();
        let mut names = Vec::new();
        for line in lines.filter(|line| !line.starts_with('#')) {
            let row = row(line).unwrap_or_else(|| panic!("`{line}`"));
            assert!(["muscle", "joint", "position", "condition"].contains(&row.kind), "`{line}`");
            assert!(!row.name.is_empty() && row.ids().all(|id| !id.is_empty()), "`{line}`");
            names.push((row.kind, row.name.to_lowercase()));
        }
        assert!(names.len() >= 400, "{}", names.len());
        let all = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), all, "a name stands twice");
    }
}
