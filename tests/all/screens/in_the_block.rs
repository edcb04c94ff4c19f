//! What a trainer sees in a block that does not go as planned.

use matside::planner::Effort;
use ratatui::crossterm::event::KeyCode;

use super::assert_seen;
use super::studio::Studio;

/// Walter's block as last time, started hands-on with the program's own planner.
fn begun() -> Studio {
    let mut studio = Studio::demo_planned_with(Effort { passes: 1 });
    studio.press("lind").enter().press("=").enter();
    if studio.screen(80, 24).contains("of 13") {
        studio.press("a");
    }
    studio.press("y");
    studio
}

/// Skips to the hold of the step that is shown, holds it so long with an answer, and ends it.
fn hold(studio: &mut Studio, seconds: u64, level: &str) {
    while !studio.screen(120, 40).contains(" HOLD") {
        studio.enter();
    }
    studio.wait(seconds).press(level).enter();
}

/// The row of a screen that has the mark for now, and its column.
fn now_at(studio: &Studio, columns: u16, rows: u16) -> (usize, usize) {
    let screen = studio.screen(columns, rows);
    let found =
        screen.lines().enumerate().find_map(|(y, line)| Some((y, line.chars().position(|c| c == '▼')?)));
    found.unwrap_or_else(|| panic!("no mark for now:\n{screen}"))
}

/// The numbers that stand on the band, and those that `step n of m` speaks of from the one under way on.
fn numbers(studio: &Studio, columns: u16, rows: u16) -> (Vec<usize>, Vec<usize>) {
    let screen = studio.screen(columns, rows);
    let (row, _) = now_at(studio, columns, rows);
    let lanes: Vec<&str> = screen.lines().skip(row + 1).take(2).collect();
    let mut shown: Vec<usize> =
        lanes.join(" ").split_whitespace().filter_map(|word| word.parse().ok()).collect();
    shown.sort_unstable();
    let (_, words) = screen.split_once("step ").expect("the title");
    let words: Vec<&str> = words.split_whitespace().take(3).collect();
    let [number, "of", count] = words[..] else { panic!("{words:?}") };
    let (number, count) = (number.parse().expect("a number"), count.parse().expect("a number"));
    (shown, (number..=count).collect())
}

#[test]
fn a_killed_block_is_taken_up_with_the_owed_sides_first_and_its_own_end() {
    let mut studio = begun();
    hold(&mut studio, 12, "3");
    hold(&mut studio, 12, "4");
    studio.wait(20);
    let done: Vec<_> =
        studio.client("w-lindqvist").sessions.last().expect("one").reports.values().cloned().collect();
    assert_eq!(done.len(), 2);
    let mut studio = studio.killed();
    studio.press("lind").enter().enter();
    assert_seen(&studio, &["2 other sides first", "9 min left until 18:55"]);
    studio.press("+");
    assert_seen(&studio, &["10 min left until 18:56"]);
    studio.press("-").wait(70);
    assert_seen(&studio, &["8 min left until 18:55"]);
    let lines = studio.app.lines(studio.now());
    let steps: Vec<&String> = lines.iter().filter(|line| line.contains(". at ")).collect();
    for (step, report) in steps.iter().zip(&done) {
        let name = studio.app.shared.catalogue.stretch(&report.stretch).expect("known").name.clone();
        let other = report.side.expect("a side").other().id();
        assert!(step.contains(&name) && step.contains(&format!(", {other}, ")), "{step}");
    }
    assert!(!lines.join("\n").contains("by you"), "{lines:?}");
    // The end stays where it is, however long consent takes.
    studio.enter().wait(50).press("y");
    assert_seen(&studio, &["up in 7:16"]);
    while !studio.screen(80, 24).contains("What came out?") {
        studio.wait(7);
    }
    let session = studio.client("w-lindqvist").sessions.last().cloned().expect("one");
    for report in &done {
        let sides = session.reports.values().filter(|other| other.stretch == report.stretch).count();
        assert_eq!(sides, 2, "{}", report.stretch);
    }
}

#[test]
fn a_block_whose_time_is_over_is_taken_up_with_the_minutes_it_did_not_use() {
    let mut studio = begun();
    hold(&mut studio, 30, "3");
    studio.wait(5);
    let mut studio = studio.killed();
    studio.sleep(7200);
    studio.press("lind").enter().enter();
    assert_seen(&studio, &["1 other side first: 9 min left until 20:5"]);
}

#[test]
fn after_less_time_the_band_has_what_the_title_counts_and_its_mark_moves() {
    for (columns, rows) in super::SIZES {
        let mut studio = begun();
        hold(&mut studio, 30, "3");
        studio.wait(30).press("m4").enter();
        let (shown, counted) = numbers(&studio, columns, rows);
        assert!(counted.len() > 2, "{counted:?}");
        assert!(counted.iter().all(|number| shown.contains(number)), "{shown:?} {counted:?}");
        assert!(shown.contains(&1), "what is done stays: {shown:?}");
        let before = now_at(&studio, columns, rows);
        studio.wait(40);
        assert!(now_at(&studio, columns, rows).1 >= before.1 + 8);
        // Less consent: the same.
        studio.press("cs").press(" ");
        let (shown, counted) = numbers(&studio, columns, rows);
        assert!(counted.iter().all(|number| shown.contains(number)), "{shown:?} {counted:?}");
    }
}

#[test]
fn so_few_minutes_that_nothing_can_be_planned_keep_this_stretch_and_the_owed_sides() {
    let mut studio = begun();
    for _ in 0..3 {
        hold(&mut studio, 12, "3");
    }
    studio.press("m4").enter();
    assert_seen(
        &studio,
        &["4:00 left: this stretch, then 3 more, then finished; nothing else fits", "step 4 of 7"],
    );
    assert_seen(&studio, &["on time   up in 4:00", "Triceps below shoulder height", "left  Chest at a wall"]);
    studio.wait(239);
    assert_seen(&studio, &["What came out?"]);
    let reports = studio.client("w-lindqvist").sessions.last().expect("one").reports.clone();
    assert_eq!(reports.len(), 7);
}

#[test]
fn what_was_kept_in_the_plan_and_is_done_does_not_hinder_a_new_one() {
    let mut studio = Studio::demo_planned_with(Effort { passes: 1 });
    studio.press("lind").enter().press("=").key(KeyCode::Tab).press("p").enter();
    if studio.screen(80, 24).contains("of 13") {
        studio.press("a");
    }
    studio.press("y");
    hold(&mut studio, 12, "3");
    studio.press("m8").enter();
    assert_seen(&studio, &["the rest is planned again"]);
}
