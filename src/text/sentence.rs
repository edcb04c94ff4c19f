//! Numbers of things and lists, as a sentence has them.

/// A number of things: "no sessions", "1 session", "3 stretches", "2 bodies".
pub fn count(number: usize, thing: &str) -> String {
    match number {
        1 => format!("1 {thing}"),
        0 => format!("no {}", several(thing)),
        _ => format!("{number} {}", several(thing)),
    }
}

fn several(thing: &str) -> String {
    let hisses = ["s", "x", "ch", "sh"].iter().any(|end| thing.ends_with(end));
    let stem = thing.strip_suffix('y').filter(|stem| !stem.ends_with(['a', 'e', 'o', 'u']));
    match stem {
        Some(stem) => format!("{stem}ies"),
        None if hisses => format!("{thing}es"),
        None => format!("{thing}s"),
    }
}

/// Joins items as a sentence does: "a", "a and b", "a, b and c".
pub fn list<S: AsRef<str>>(items: &[S]) -> String {
    match items {
        [] => String::new(),
        [only] => only.as_ref().to_owned(),
        [rest @ .., last] => {
            let rest: Vec<&str> = rest.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", rest.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_and_lists_read_like_a_sentence() {
        assert_eq!(count(0, "session"), "no sessions");
        assert_eq!(count(1, "stretch"), "1 stretch");
        assert_eq!(count(2, "stretch"), "2 stretches");
        assert_eq!(count(3, "entry"), "3 entries");
        assert_eq!(count(4, "day"), "4 days");
        assert_eq!(list::<&str>(&[]), "");
        assert_eq!(list(&["a"]), "a");
        assert_eq!(list(&["a", "b", "c"]), "a, b and c");
    }
}
