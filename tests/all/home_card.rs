//! The card for home: one file that fetches nothing, only what the client may do alone, and the same facts in its twins.

use std::path::Path;

use crate::cli::Studio;

fn page(studio: &Studio, more: &[&str]) -> String {
    let mut words = vec!["page", "home"];
    words.extend(more);
    studio.run(&words)
}

fn demo() -> Studio {
    Studio::at(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo"))
}

#[test]
fn a_card_for_home_is_one_file_that_fetches_nothing() {
    const FETCHES: [&str; 10] =
        ["<script", "<link", "<img", "<iframe", "src=", "href=", "http://", "https://", "@import", "url("];
    let said = page(&demo(), &["feldmann"]);
    assert!(said.starts_with("status: 0"), "{said}");
    for word in FETCHES {
        assert!(!said.contains(word), "{word}");
    }
    assert!(said.contains("default-src 'none'") && said.contains("<html lang=\"en\">"));
    assert_eq!(said.matches("<h1").count(), 1);
    let stretches = said.matches("<li class=\"ex\">").count();
    assert!((1..=4).contains(&stretches), "{stretches}");
    let pictures = said.matches("role=\"img\" aria-label=\"Drawing: ").count();
    assert_eq!(pictures, stretches, "each has its picture, and each picture says what it shows");
    // Millimetres: head, how and need, rows, stop rule, boxes and foot have to fit on US Letter, too.
    let row = if stretches <= 3 { 60 } else { 45 };
    assert!(12 + 18 + stretches * row + 26 + 8 + 8 <= 255, "{stretches} rows of {row} mm");
}

#[test]
fn a_card_for_home_says_the_same_as_text_and_in_markdown() {
    let studio = demo();
    let html = page(&studio, &["feldmann"]);
    let text = page(&studio, &["feldmann", "--as", "text"]);
    let markdown = page(&studio, &["feldmann", "--as", "md"]);
    let numbered = |line: &&str| line.starts_with(|letter: char| letter.is_ascii_digit());
    let names: Vec<&str> =
        text.lines().filter(numbered).filter_map(|line| line.split_once("  ")?.1.split(',').next()).collect();
    assert!(!names.is_empty(), "{text}");
    for name in &names {
        assert!(html.contains(&name.replace('\'', "&#39;")), "{name}\n{html}");
        assert!(markdown.contains(&format!("**{name}")), "{name}\n{markdown}");
    }
    assert!(text.contains("It hurts, tingles, goes numb, or you feel dizzy: stop."));
    assert!(text.lines().all(|line| line.chars().count() <= 78), "{text}");
    assert!(page(&studio, &["feldmann", "--count", "6"]).starts_with("status: 2"));
}

#[test]
fn a_card_for_home_has_only_what_the_client_may_do_alone() {
    use matside::catalogue::{Catalogue, Helper};
    let text = page(&demo(), &["feldmann", "--as", "text"]);
    let alone: Vec<String> = Catalogue::built_in()
        .stretches()
        .iter()
        .flat_map(|stretch| &stretch.forms)
        .filter(|form| form.helper == Helper::Client)
        .map(|form| form.cues.say.replace("Strap round", "Strap or towel round"))
        .collect();
    let joined = text.lines().map(str::trim).collect::<Vec<_>>().join(" ");
    let count = text.lines().filter(|line| line.get(1..3) == Some("  ") && !line.starts_with(' ')).count();
    let mut said: Vec<&String> = alone.iter().filter(|say| joined.contains(say.as_str())).collect();
    said.sort_unstable();
    said.dedup();
    assert!(said.len() >= count && count > 0, "{count} stretches, the words of {}: {text}", said.len());
}

#[test]
fn a_card_for_home_is_not_written_without_a_reason_and_a_name_brings_no_tag_along() {
    let studio = Studio::empty();
    studio.run(&["new", "<script>alert(1)</script> \"O'Neill\" & x"]);
    let said = page(&studio, &["alert"]);
    assert!(said.starts_with("status: 1") && said.contains("--trained"), "{said}");
    let said = page(&studio, &["alert", "--trained", "hamstrings:3"]);
    assert!(said.starts_with("status: 0"), "{said}");
    assert!(!said.contains("<script") && said.contains("&lt;script&gt;"), "{said}");
}
