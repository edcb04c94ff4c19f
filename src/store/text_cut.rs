//! Cuts a client's text where sessions begin: what is before them, and a part a session.

use memchr::memmem;

use super::shape::SESSION_HEADER;

/// Where the lines begin that hold nothing but a session's header.
///
/// Some of them may stand within a text of several lines; then what is before such a line cannot be parsed.
pub(crate) fn header_lines(text: &str) -> Vec<usize> {
    let is_a_line = |start: &usize| {
        let end = start + SESSION_HEADER.len();
        let begins = *start == 0 || text.as_bytes()[start - 1] == b'\n';
        let ends = matches!(text.as_bytes().get(end), None | Some(b'\n'))
            || text.as_bytes().get(end..end + 2) == Some(b"\r\n");
        begins && ends
    };
    memmem::find_iter(text.as_bytes(), SESSION_HEADER).filter(is_a_line).collect()
}

/// The parts of a text: what is before the sessions, then each session's block with what follows it.
pub(crate) fn parts<'t>(text: &'t str, headers: &[usize]) -> (&'t str, impl Iterator<Item = &'t str>) {
    let head = &text[..headers.first().copied().unwrap_or(text.len())];
    let ends = headers.iter().skip(1).copied().chain([text.len()]);
    let blocks: Vec<&str> = headers.iter().zip(ends).map(|(&start, end)| &text[start..end]).collect();
    (head, blocks.into_iter())
}

/// The part that holds everything but sessions: what is before them, or the whole text if that is not certain.
///
/// If the part before them cannot be parsed alone, the whole text has to be taken.
pub(crate) fn before_sessions(text: &str) -> &str {
    let headers = header_lines(text);
    let (head, mut blocks) = parts(text, &headers);
    // Any other header may lead back to the top.
    let is_certain =
        blocks.all(|block| block.lines().skip(1).all(|line| !line.trim_ascii_start().starts_with('[')));
    if is_certain { head } else { text }
}
