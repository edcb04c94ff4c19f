//! What the sessions tell: what is typed stays until it is done with, and a session opens step by step.

use ratatui::crossterm::event::KeyCode;

use super::assert_seen;
use super::studio::Studio;

/// The history of a client of the demo, in its view so many.
fn history(name: &str, view: usize) -> Studio {
    let mut studio = Studio::demo();
    studio.press(name).key(KeyCode::F(3));
    for _ in 1..view {
        studio.key(KeyCode::Right);
    }
    studio
}

fn lines(studio: &Studio) -> Vec<String> {
    studio.app.lines(studio.now())
}

#[test]
fn enter_keeps_what_is_typed_and_then_opens_what_is_marked() {
    let mut studio = history("feldm", 2);
    studio.press("/calf").enter();
    assert_seen(&studio, &["[Stretch]", "calf"]);
    studio.enter();
    assert_seen(&studio, &["[Sessions]", "calf"]);
    // The first takes off what is typed, the second goes to the year, the third leaves.
    studio.key(KeyCode::Esc);
    assert_seen(&studio, &["[Sessions]"]);
    studio.key(KeyCode::Esc);
    assert_seen(&studio, &["[Year]"]);
    studio.key(KeyCode::Esc);
    assert_seen(&studio, &["Who is next?"]);
    let mut studio = history("feldm", 1);
    studio.control('p');
    assert_seen(&studio, &["Trained today"]);
}

#[test]
fn the_year_opens_the_stretch_or_the_session_that_is_marked() {
    let mut studio = history("feldm", 1);
    studio.key(KeyCode::Down);
    let marked = lines(&studio).into_iter().find_map(|line| line.strip_prefix("chosen: ").map(str::to_owned));
    let marked = marked.expect("a row");
    let name = marked.split(": ").next().expect("a name").split_once(". ").expect("a number").1;
    studio.enter();
    assert_seen(&studio, &["[Stretch]", name, "answers, median of three weeks"]);
    // The next one, and back to the year with the marked stretch as it was.
    studio.key(KeyCode::Down).key(KeyCode::Esc).key(KeyCode::End).enter();
    let client = studio.client("t-feldmann");
    let last = client.sessions.last().expect("a session").at.format("%-d %B %Y, %H:%M").to_string();
    assert_seen(&studio, &["[Sessions]", &last]);
    studio.key(KeyCode::Esc).key(KeyCode::Esc).key(KeyCode::End).key(KeyCode::Up).enter();
    let before = client.sessions[client.sessions.len() - 2].at.format("%-d %B %Y, %H:%M").to_string();
    assert_seen(&studio, &[&before]);
}

#[test]
fn all_of_it_stands_in_full_with_how_sure_it_is_and_goes_again() {
    let mut studio = history("feldm", 1);
    studio.press("i");
    assert_seen(&studio, &["What it tells"]);
    let said = lines(&studio).join("\n");
    for words in ["Since the time before:", "More:", "Held a week:", "fewer than 1 client in 20"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    studio.key(KeyCode::End);
    assert_seen(&studio, &["Garber"]);
    studio.press("i");
    assert_seen(&studio, &["Who answered higher"]);
}

#[test]
fn a_filter_that_leaves_nothing_says_so() {
    let mut studio = history("feldm", 1);
    studio.press("/zzz");
    assert_seen(&studio, &["nothing here of `zzz`"]);
    assert!(!studio.screen(120, 40).contains("stopped for pain"));
}

#[test]
fn a_month_is_understood_by_its_name() {
    let mut studio = history("feldm", 4);
    let all = lines(&studio).iter().filter(|line| line.contains(" 2026: ")).count();
    studio.press("/october").enter();
    let of_october = lines(&studio);
    let months: Vec<&String> = of_october.iter().filter(|line| line.contains(" 2026: ")).collect();
    assert!(!months.is_empty() && months.len() < all, "{of_october:?}");
    assert!(months.iter().all(|line| line.contains(" October 2026: ")), "{of_october:?}");
}

#[test]
fn a_session_opens_with_its_steps_and_closes_again() {
    let mut studio = history("feldm", 4);
    let client = studio.client("t-feldmann");
    let (last, before) =
        (&client.sessions[client.sessions.len() - 1], &client.sessions[client.sessions.len() - 2]);
    let day = |session: &matside::client::Session| session.at.format("%-d %B %Y, %H:%M").to_string();
    assert_seen(&studio, &["Enter open"]);
    studio.enter();
    let (first, heading) = (last.reports.values().next().expect("a step"), day(last));
    assert_seen(&studio, &[&heading, &first.held.to_string(), "hands", "Esc sessions"]);
    let said = lines(&studio).join("\n");
    for report in last.reports.values() {
        let (held, level) =
            (report.held.get(), report.level.map_or("not asked".to_owned(), |it| format!("answer {it}")));
        assert!(said.contains(&format!("{held} seconds, {level}")), "{held} {level}\n{said}");
    }
    assert!(said.contains(&last.note), "{said}");
    // The one before, and a letter that is no key does nothing.
    studio.key(KeyCode::Left).press("q").key(KeyCode::Down);
    assert_seen(&studio, &[&day(before)]);
    assert!(lines(&studio).iter().filter(|line| line.starts_with("chosen: ")).count() == 1);
    studio.key(KeyCode::Esc);
    assert_seen(&studio, &["[Sessions]", "Enter open"]);
    studio.control('p');
    assert_seen(&studio, &["Trained today"]);
}

#[test]
fn next_time_begins_with_the_questions_that_are_due_and_the_last_remark() {
    let mut studio = Studio::demo();
    let mut due = 0;
    let ids: Vec<String> = std::fs::read_dir(studio.root().join("clients"))
        .expect("is there")
        .map(|entry| {
            entry.expect("readable").path().file_stem().expect("a name").to_string_lossy().into_owned()
        })
        .collect();
    for id in ids {
        let client = studio.client(&id);
        let Some(last) = client.sessions.last() else { continue };
        studio.press(&client.profile.name).key(KeyCode::F(3));
        let said = lines(&studio).join("\n");
        let today = studio.now().wall.date_naive();
        let is_due = client.profile.screening_record(today).screen_due(today).is_some();
        due += usize::from(is_due);
        assert_eq!(said.contains("First: "), is_due, "{id}\n{said}");
        let remark = format!("Remark of {}: {}", last.at.format("%-d %B %Y"), last.note);
        assert_eq!(said.contains(&remark), !last.note.is_empty(), "{id}\n{said}");
        // The side that is tighter is said once, its reason below.
        assert!(!said.contains(" tighter; "), "{said}");
        studio.key(KeyCode::Esc).key(KeyCode::Esc);
    }
    let profile = studio.client("t-feldmann").profile;
    assert!(due > 0 || profile.last_screening().is_some());
}

#[test]
fn the_weeks_say_which_week_stands_first_and_judge_nothing() {
    let mut studio = history("feldm", 3);
    assert_seen(&studio, &["week to 17 Nov", "2 min", "5 min", "what both sides had"]);
    for word in ["guidance", "aim", "within", "%"] {
        assert!(!studio.screen(120, 40).contains(word), "{word}");
    }
    studio.press("/october").enter();
    assert_seen(&studio, &["week to 31 Oct"]);
    assert!(!studio.screen(120, 40).contains("17 Nov"));
}

#[test]
fn the_quarters_are_plots_with_their_tables_and_lines() {
    let mut studio = history("feldm", 1);
    studio.key(KeyCode::Left);
    assert_seen(&studio, &["[Quarters]", "left less right", "who answered higher", "what happened", "2026"]);
    let said = lines(&studio);
    assert!(said.iter().any(|line| line.starts_with("2026 Q4: left ")), "{said:?}");
    studio.enter();
    assert_seen(&studio, &["2026 Q4: left "]);
    studio.key(KeyCode::Down);
    let table = |lines: &[String]| {
        lines.iter().filter(|line| !line.starts_with("Keys: ")).cloned().collect::<Vec<_>>()
    };
    assert_eq!(table(&lines(&studio)), table(&said), "the lines have the whole table");
    studio.key(KeyCode::Esc).key(KeyCode::End);
    let said = lines(&studio);
    assert!(said.iter().any(|line| line.contains(": stopped for pain")), "{said:?}");
    studio.key(KeyCode::Esc);
    assert_seen(&studio, &["[Year]"]);
}

/// Writes the pages of Tobias Feldmann and looks at what the screen says and the folder has.
fn writes_pages(mut studio: Studio) {
    studio.press("w");
    assert_seen(&studio, &["Pages to print", "home card", "letter", "conditions"]);
    for row in 0..4 {
        if row > 0 {
            studio.key(KeyCode::Down);
        }
        studio.press(" ");
    }
    studio.enter();
    let said = studio.app.lines(studio.now()).join("\n");
    for word in ["Written into", "elsewhere", "last session", "year", "letter", "home card"] {
        assert!(said.contains(word), "{word}: {said}");
    }
    let folder = studio.root().join("elsewhere");
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort_unstable();
    let kinds: Vec<&str> = names.iter().filter_map(|name| name.split('-').nth(2)).collect();
    assert_eq!(kinds, ["home", "letter", "session", "year"], "{names:?}");
}

#[test]
fn the_pages_are_written_from_the_history_and_the_screen_says_where() {
    writes_pages(history("feldm", 1));
}

#[test]
fn the_pages_are_written_from_the_review_too_while_the_session_is_open() {
    let mut studio = Studio::demo();
    studio.press("feldm").enter().press("ham").enter().enter().agree().wait(60).finish();
    assert_seen(&studio, &["what came out"]);
    writes_pages(studio);
}

#[test]
fn one_page_is_two_keys_away_and_what_is_asked_for_besides_goes_into_it() {
    let mut studio = history("feldm", 1);
    studio.press("w").enter();
    let written = |studio: &Studio| -> Vec<String> {
        let folder = std::fs::read_dir(studio.root().join("elsewhere")).expect("the folder");
        folder
            .map(|entry| std::fs::read_to_string(entry.expect("an entry").path()).expect("a page"))
            .collect()
    };
    let [card] = &written(&studio)[..] else { panic!("one page") };
    assert!(card.contains("To do at home"), "{card}");
    // Where nothing but what goes into a page is marked, nothing is written; Esc writes nothing either.
    let mut studio = history("feldm", 1);
    studio.press("w").key(KeyCode::End).press(" ").enter();
    assert_seen(&studio, &["Pages to print", "mark a page"]);
    studio.key(KeyCode::Esc);
    assert!(!studio.root().join("elsewhere").exists());
    studio.press("w").key(KeyCode::End).key(KeyCode::Up).press(" ").key(KeyCode::Up).press(" ").enter();
    let [letter] = &written(&studio)[..] else { panic!("one page") };
    assert!(letter.contains("Remarks on the card are not included"), "{letter}");
}
