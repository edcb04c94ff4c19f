//! The screens over a scripted clock: what a trainer does in a day, odd sizes, and any keys at all.

mod any_keys;
mod before_touch;
mod budgets;
mod card;
pub(crate) mod cues;
mod cut_off;
mod habits;
mod in_the_block;
mod leaving;
mod linear;
mod one_judgement;
mod pain;
mod past;
mod remote;
mod sizes;
mod slips;
mod sore;
pub(crate) mod studio;
mod walk_in;

use matside::body::{Degrees, Level};
use matside::client::{Consent, Ended};
use matside::planner::Budget;
use matside::tui::event::{Event, Wheel};
use ratatui::crossterm::event::KeyCode;

use studio::Studio;

/// Sizes that the screens are looked at in.
const SIZES: [(u16, u16); 2] = [(80, 24), (120, 40)];

fn assert_seen(studio: &Studio, words: &[&str]) {
    for (columns, rows) in SIZES {
        let screen = studio.screen(columns, rows);
        for word in words {
            assert!(screen.contains(word), "`{word}` is not on the screen of {columns}x{rows}:\n{screen}");
        }
    }
}

#[test]
fn a_first_client_is_planned_run_and_closed_within_a_few_keys() {
    let mut studio = Studio::empty();
    assert_seen(&studio, &["No clients yet"]);
    studio.press("Nora Quint").enter();
    assert_seen(&studio, &["New client", "Nora Quint"]);
    studio.control('p');
    assert_seen(&studio, &["Nora Quint", "10 min, up at 18:55", "no condition on the card"]);
    studio.press("ham").enter().press("glu").enter();
    assert_seen(&studio, &["hamstrings", "on the back"]);
    studio.enter();
    assert_seen(&studio, &["Before hands-on work, read aloud: 1 of 16"]);
    studio.all_no();
    assert_seen(&studio, &["May I "]);
    studio.agree();
    assert_seen(&studio, &["1 of ", "READY"]);
    studio.wait(30);
    assert_seen(&studio, &["HOLD"]);
    // There is no six.
    studio.press("64").wait(30);
    let on_disk = studio.client("nora-quint");
    let first =
        on_disk.sessions[0].reports.values().next().expect("a report on the disk while the block runs");
    assert_eq!((first.level, first.ended), (Level::new(4).ok(), Ended::Done));
    assert!(studio.bells >= 3, "{}", studio.bells);
    studio.finish();
    assert_seen(&studio, &["what came out", "saved"]);
    studio.enter();
    assert_seen(&studio, &["Who is next?", "closed and saved"]);
    let session = &studio.client("nora-quint").sessions[0];
    assert_eq!(session.consent, Consent::HandsOn);
    assert!(session.closed.is_some());
}

#[test]
fn a_block_that_is_left_is_offered_again_and_goes_on() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(70);
    studio.key(KeyCode::Esc);
    assert_seen(&studio, &["PAUSED", "Esc once more leaves"]);
    studio.key(KeyCode::Esc);
    assert_seen(&studio, &["cut off, to be taken up or closed"]);
    let before = studio.client("ilse-brandt").sessions[0].reports.clone();
    assert!(!before.is_empty());
    studio.enter();
    assert_seen(&studio, &["was cut off after"]);
    studio.enter().enter().agree().wait(60).finish().enter();
    let client = studio.client("ilse-brandt");
    assert_eq!(client.sessions.len(), 1);
    assert!(client.sessions[0].closed.is_some());
    assert!(before.iter().all(|(number, report)| client.sessions[0].reports.get(number) == Some(report)));
    assert!(client.sessions[0].reports.len() > before.len());
}

#[test]
fn a_declined_block_is_noted_and_nothing_runs() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().press("d").enter();
    assert_seen(&studio, &["Declined; that is noted"]);
    let session = &studio.client("ilse-brandt").sessions[0];
    assert_eq!((session.consent, session.reports.len()), (Consent::Declined, 0));
    assert!(session.closed.is_some());
}

#[test]
fn what_is_typed_before_the_list_is_there_counts() {
    let mut studio = Studio::demo();
    studio.app.shared.roster = None;
    studio.press("feldm").enter();
    assert_seen(&studio, &["reading"]);
    studio.list();
    assert_seen(&studio, &["Tobias Feldmann", "Trained today"]);
}

#[test]
fn a_click_takes_a_row_or_presses_a_key_of_the_last_line_and_the_wheel_goes_through_the_list() {
    let mut studio = Studio::demo_planned_with(Budget::passes(1));
    studio.click("Ruth Achterberg");
    assert!(studio.screen(80, 24).contains("▌        Ruth Achterberg"), "{}", studio.screen(80, 24));
    studio.click("Enter plan");
    studio.press("full body").enter().click("◀ left");
    studio.send(Event::Wheel(Wheel::Down));
    let page = studio.app.page(studio.now());
    let steps = page.parts.iter().find_map(|part| part.list.as_ref()).expect("the steps");
    let left = steps.rows.iter().position(|row| row.contains(", left, ")).expect("a step on the left");
    assert_eq!(steps.chosen, Some(left + 1));
    // What lies under an overlay is not hit.
    studio.press("?").click("Esc close");
    assert_seen(&studio, &["Trained today"]);
}

#[test]
fn lines_say_what_stands_beside_the_chosen_client_and_step() {
    let mut studio = Studio::demo_planned_with(Budget::passes(1));
    let lines = studio.app.lines(studio.now()).join("\n");
    for words in ["Last time: ", "In force: "] {
        assert!(lines.contains(words), "{words}\n{lines}");
    }
    studio.press("feldm");
    let lines = studio.app.lines(studio.now()).join("\n");
    assert!(lines.contains("Next time: Calf by the heel"), "{lines}");
    studio.enter().press("full body").enter().key(KeyCode::Tab);
    let lines = studio.app.lines(studio.now()).join("\n");
    for words in ["Form: ", "Say: ", "Hands: ", "Spine: "] {
        assert!(lines.contains(words), "{words}\n{lines}");
    }
}

#[test]
fn undo_takes_back_a_mark_and_a_minute() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().press("+");
    assert_seen(&studio, &["11 min", "hamstrings"]);
    studio.control('z');
    assert_seen(&studio, &["10 min", "hamstrings"]);
    studio.control('z');
    assert_seen(&studio, &["Nothing in the plan yet"]);
}

#[test]
fn a_plan_that_is_not_proven_yet_says_how_far_off_it_can_be() {
    let planned = |effort| {
        let mut studio = Studio::demo_planned_with(effort);
        studio.press("feldm").enter();
        studio.press("full").enter();
        studio
    };
    let mut hurried = planned(Budget::passes(1));
    until_unproven(&mut hurried);
    assert!(told(&hurried).contains("best so far; none is over"));
    assert!(told(&planned(Budget::FULL)).contains("nothing better fits"));
}

/// All words of the plan.
fn told(studio: &Studio) -> String {
    studio.app.lines(studio.now()).join("\n")
}

/// Adds minutes until one pass of the search is too little for the proof.
fn until_unproven(studio: &mut Studio) {
    for _ in 0..8 {
        if told(studio).contains("best so far") {
            return;
        }
        studio.press("+");
    }
}

#[test]
fn a_proof_is_taken_in_while_another_screen_lies_over_the_plan() {
    for over in [KeyCode::Char('?'), KeyCode::F(2), KeyCode::F(3)] {
        let mut studio = Studio::demo_planned_with(Budget::passes(1));
        studio.press("feldm").enter().press("full body").enter();
        until_unproven(&mut studio);
        assert!(told(&studio).contains("best so far"));
        studio.key(over).prove().key(KeyCode::Esc);
        assert!(told(&studio).contains("nothing better fits"));
    }
}

#[test]
fn levels_are_mended_in_the_review_and_in_the_file() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(120).finish();
    studio.key(KeyCode::Home).press("3").key(KeyCode::Home).press(">");
    let first = studio.client("ilse-brandt").sessions[0].reports.values().next().cloned().expect("a report");
    assert_eq!(first.level, Level::new(3).ok());
    let longer = first.held;
    studio.press("z").press("z").enter();
    let first = studio.client("ilse-brandt").sessions[0].reports.values().next().cloned().expect("a report");
    assert_eq!(first.level, None);
    assert!(first.held < longer);
}

#[test]
fn degrees_that_were_measured_are_noted_in_the_review_and_taken_out_again() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(120).finish();
    let angle = |studio: &Studio| {
        let session = studio.client("ilse-brandt").sessions[0].clone();
        session.reports.values().next().and_then(matside::client::Report::angle)
    };
    studio.key(KeyCode::Home).press("g").press("999").enter();
    assert_seen(&studio, &["999"]);
    assert_eq!(angle(&studio), None);
    studio.key(KeyCode::Backspace).key(KeyCode::Backspace).key(KeyCode::Backspace).press("71").enter();
    assert_seen(&studio, &["71 degrees"]);
    assert_eq!(angle(&studio), Degrees::new(71).ok());
    studio.press("z");
    assert_eq!(angle(&studio), None);
}

#[test]
fn a_file_that_was_edited_meanwhile_is_told_of_at_once() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(20);
    let path = studio.file("ilse-brandt");
    let text = std::fs::read_to_string(&path).expect("is text");
    std::fs::write(&path, text.replacen("name =", "# by hand\nname =", 1)).expect("writes");
    studio.wait(50);
    assert!(!studio.client("ilse-brandt").sessions[0].reports.is_empty());
    let named = std::path::Path::new("clients").join("ilse-brandt.toml");
    assert_seen(&studio, &[&format!("{} was changed meanwhile", named.display())]);
    assert!(std::fs::read_to_string(&path).expect("is text").contains("# by hand"));
}

#[test]
fn a_session_that_the_file_does_not_take_is_saved_elsewhere_and_merged_later() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(70);
    let path = studio.file("ilse-brandt");
    let aside = path.with_extension("aside");
    std::fs::rename(&path, &aside).expect("renames");
    std::fs::create_dir(&path).expect("a folder in the way");
    let before = studio.acknowledged;
    studio.wait(60).finish().enter();
    assert!(before > 0 && studio.acknowledged == before, "the rest could not be written");
    assert_seen(&studio, &["not saved yet", "Ctrl-S saves the session in another folder"]);
    let folder = studio.root().join("stick");
    studio.control('s').press(&folder.display().to_string()).enter();
    assert_seen(&studio, &["saved as"]);
    studio.key(KeyCode::Esc);
    std::fs::remove_dir(&path).expect("removes");
    std::fs::rename(&aside, &path).expect("renames back");
    let saved =
        std::fs::read_dir(&folder).expect("is there").next().expect("a file").expect("readable").path();
    let merged =
        matside::store::merge_files(&path, &saved, matside::store::SamePerson::AsFarAsSeen).expect("merges");
    assert_eq!((merged.added_sessions, merged.added_reports > 0), (0, true));
    assert_eq!(studio.client("ilse-brandt").sessions[0].reports.len(), before + merged.added_reports);
}

#[test]
fn a_closed_lid_loses_nothing_and_the_block_waits() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(20).sleep(3600);
    assert_seen(&studio, &["nothing was seen for"]);
    studio.press(" ").wait(40);
    assert!(!studio.client("ilse-brandt").sessions[0].reports.is_empty());
}

#[test]
fn help_and_commands_come_from_the_table_of_keys() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.press("?");
    assert_seen(&studio, &["plan for this client", "Ctrl-C"]);
    studio.key(KeyCode::Esc).press(":new client").enter();
    assert_seen(&studio, &["New client"]);
}

#[test]
fn a_small_terminal_says_what_it_needs_and_no_size_panics() {
    let mut studio = Studio::demo();
    let small = studio.screen(20, 5);
    assert!(small.contains("matside needs") && small.contains("40x12"), "{small}");
    let scripts: [&[KeyCode]; 5] = [
        &[],
        &[KeyCode::Enter, KeyCode::Tab],
        &[KeyCode::Enter, KeyCode::Char('a'), KeyCode::Enter],
        &[KeyCode::Char('f'), KeyCode::Enter],
        &[KeyCode::Tab, KeyCode::Tab, KeyCode::Tab],
    ];
    for script in scripts {
        for key in script {
            studio.key(*key);
        }
        for (columns, rows) in
            [(0, 0), (1, 1), (1, 40), (200, 1), (39, 12), (40, 12), (41, 13), (63, 17), (99, 21), (200, 60)]
        {
            studio.screen(columns, rows);
        }
        assert!(!studio.app.lines(studio.now()).is_empty());
    }
}

#[test]
fn the_day_and_its_keys_look_like_this() {
    let mut studio = Studio::demo();
    insta::assert_snapshot!("day", studio.screen(80, 24));
    studio.press("?");
    insta::assert_snapshot!("day_keys", studio.screen(80, 24));
}

#[test]
fn an_empty_card_looks_like_this() {
    let mut studio = Studio::empty();
    studio.control('n');
    insta::assert_snapshot!("card", studio.screen(80, 24));
}
