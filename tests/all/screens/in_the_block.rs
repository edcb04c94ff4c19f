//! What a trainer sees in a block that does not go as planned.

use matside::planner::Budget;
use ratatui::crossterm::event::KeyCode;

use super::assert_seen;
use super::studio::Studio;

/// Walter's block as last time without its first stretch, started hands-on with the program's own planner: two
/// stretches on the right, then the same on the left.
fn named() -> (Studio, Vec<String>) {
    let mut studio = Studio::demo_planned_with(Budget::passes(1));
    studio.press("lind").enter().repeat().key(KeyCode::Tab).press("x");
    let names = names(&studio);
    studio.enter();
    if studio.screen(80, 24).contains("of 16") {
        studio.all_no();
    }
    studio.agree();
    (studio, names)
}

fn begun() -> Studio {
    named().0
}

/// The names of a plan's first stretches, in the order of work.
fn names(studio: &Studio) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for line in studio.app.lines(studio.now()).iter().filter(|line| line.contains(". at ")) {
        let behind = [", right, ", ", left, "].iter().find_map(|side| line.split_once(side));
        let Some((name, _)) = behind.and_then(|(_, rest)| rest.split_once(", hold")) else { continue };
        if !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    names
}

/// Whether words are on the screen of some size: a long name is cut in a narrow terminal.
fn says(studio: &Studio, words: &str) -> bool {
    let sizes = [(80, 24), (120, 40), (200, 60)];
    sizes.into_iter().any(|(columns, rows)| studio.screen(columns, rows).contains(words))
}

/// Skips to the hold of the step that is shown, holds it so long with an answer, and goes on.
fn hold(studio: &mut Studio, seconds: u64, level: &str) {
    while !studio.screen(120, 40).contains(" HOLD") {
        studio.enter();
    }
    studio.wait(seconds).press(level);
    while studio.screen(120, 40).contains(" HOLD") {
        studio.wait(1);
    }
}

/// The two lanes of the whole block.
fn lanes(studio: &Studio, columns: u16, rows: u16) -> Vec<String> {
    let first = if rows < 26 { 20 } else { usize::from(rows) - 7 };
    studio.screen(columns, rows).lines().skip(first).take(2).map(str::to_owned).collect()
}

/// The numbers that stand on the band, and those that the title speaks of behind the one under way.
fn numbers(studio: &Studio, columns: u16, rows: u16) -> (Vec<usize>, Vec<usize>) {
    let lanes = lanes(studio, columns, rows).join(" ");
    let words = lanes.split(|letter: char| !letter.is_ascii_digit());
    let shown: Vec<usize> = words.filter_map(|word| word.parse().ok()).collect();
    let screen = studio.screen(columns, rows);
    let title: Vec<&str> = screen.lines().next().expect("the title").split_whitespace().collect();
    let of = title.iter().position(|word| *word == "of").expect("n of m");
    let [number, count] = [title[of - 1], title[of + 1]].map(|word| word.parse::<usize>().expect("a number"));
    (shown, (number + 1..=count).collect())
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
    assert_seen(&studio, &["2 other sides first", "7 min left until 18:55"]);
    studio.press("+");
    assert_seen(&studio, &["8 min left until 18:56"]);
    studio.press("-").wait(70);
    assert_seen(&studio, &["6 min left until 18:55"]);
    let lines = studio.app.lines(studio.now());
    let steps: Vec<&String> = lines.iter().filter(|line| line.contains(". at ")).collect();
    for (step, report) in steps.iter().zip(&done) {
        let name = studio.app.shared.catalogue.stretch(&report.stretch).expect("known").name.clone();
        let other = report.side.expect("a side").other().id();
        assert!(step.contains(&name) && step.contains(&format!(", {other}, ")), "{step}");
    }
    assert!(!lines.join("\n").contains("by you"), "{lines:?}");
    // The end stays where it is, however long consent takes.
    studio.enter().wait(50).agree();
    assert_seen(&studio, &["up in 5:40"]);
    while !studio.screen(80, 24).contains("what came out") {
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
    assert_seen(&studio, &["1 other side first: 8 min left until 20:5"]);
}

#[test]
fn after_less_time_the_band_has_what_the_title_counts_and_its_mark_moves() {
    for (columns, rows) in super::SIZES {
        let mut studio = begun();
        hold(&mut studio, 30, "3");
        studio.wait(30).words("4 minutes");
        let (shown, counted) = numbers(&studio, columns, rows);
        assert!(counted.len() > 1, "{counted:?}");
        assert!(counted.iter().all(|number| shown.contains(number)), "{shown:?} {counted:?}");
        let sunk = |studio: &Studio| lanes(studio, columns, rows).concat().matches(['▁', '▔']).count();
        let before = sunk(&studio);
        assert!(before > 0, "what is done stays");
        studio.wait(40);
        assert!(sunk(&studio) >= before + 5, "{}", studio.screen(columns, rows));
        // Less consent: the same.
        studio.press("lb").press(" ");
        let (shown, counted) = numbers(&studio, columns, rows);
        assert!(counted.iter().all(|number| shown.contains(number)), "{shown:?} {counted:?}");
    }
}

#[test]
fn so_few_minutes_that_nothing_can_be_planned_keep_this_stretch_and_the_owed_sides() {
    let mut studio = begun();
    for _ in 0..2 {
        hold(&mut studio, 12, "3");
    }
    studio.words("2 minutes");
    assert_seen(&studio, &["2:00 left: this stretch, then left ", "else fits", "3 of 4"]);
    assert_seen(&studio, &["on time   up in 2:00"]);
    studio.wait(125);
    assert_seen(&studio, &["what came out"]);
    let reports = studio.client("w-lindqvist").sessions.last().expect("one").reports.clone();
    assert_eq!(reports.len(), 4);
}

#[test]
fn what_was_kept_in_the_plan_and_is_done_does_not_hinder_a_new_one() {
    let mut studio = Studio::demo_planned_with(Budget::passes(1));
    studio.press("lind").enter().repeat().key(KeyCode::Tab).press("k").enter();
    if studio.screen(80, 24).contains("of 16") {
        studio.all_no();
    }
    studio.agree();
    hold(&mut studio, 12, "3");
    studio.words("8 minutes");
    assert_seen(&studio, &["the rest is planned again"]);
}

/// The words of the cues' column at 80 by 24, one behind the other.
fn cues(studio: &Studio) -> String {
    let screen = studio.screen(80, 24);
    let column =
        screen.lines().skip(16).take(4).map(|line| line.chars().skip(11).take(65).collect::<String>());
    column.collect::<Vec<_>>().join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn what_keeps_safe_and_what_is_said_can_be_read_whole_in_a_low_terminal() {
    let mut seen = 0;
    for client in ["lind", "feldm", "achter", "byrne", "oldenb"] {
        let mut studio = Studio::demo_planned_with(Budget::passes(1));
        studio.press(client).enter().repeat().enter();
        if studio.screen(80, 24).contains("of 16") {
            studio.all_no();
        }
        studio.agree();
        while !studio.screen(80, 24).contains("what came out") {
            let (screen, shown) = (studio.screen(80, 24), cues(&studio));
            let lines = studio.app.lines(studio.now());
            let of = |what: &str| lines.iter().find_map(|line| line.strip_prefix(what)).map(str::to_owned);
            for what in ["Say: ", "Hands: "] {
                // The push is said in its own phase.
                let Some(words) = of(what).filter(|words| !words.contains("To push: ")) else { continue };
                let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
                assert!(shown.contains(&words), "{what}{words}\n{screen}");
                seen += 1;
            }
            studio.wait(9);
        }
    }
    assert!(seen > 100, "{seen}");
}

#[test]
fn one_key_shows_all_about_the_stretch_while_it_runs_on() {
    let (mut studio, names) = named();
    while !studio.screen(120, 40).contains(" HOLD") {
        studio.enter();
    }
    studio.press("i");
    for words in
        ["i closes", "HOLD", "RIGHT", "watch", "feet", "spine", "mistakes", "in force", "65 or older"]
    {
        assert_seen(&studio, &[words]);
    }
    let lines = studio.app.lines(studio.now()).join("\n");
    for words in
        ["Watch: ", "Mistakes: ", "In force: ", "cannot easily get up from the floor: no work on the floor"]
    {
        assert!(lines.contains(words), "{words}\n{lines}");
    }
    let before = studio.screen(80, 24);
    studio.wait(3);
    assert_ne!(studio.screen(80, 24), before, "the seconds go on");
    studio.press("p");
    let reports = studio.client("w-lindqvist").sessions.last().expect("one").reports.clone();
    assert_eq!(reports[&1].ended, matside::client::Ended::Pain);
    assert!(says(&studio, "PAIN") && says(&studio, &format!("{}, right: stopped at 0:0", names[0])));
}

#[test]
fn pain_names_what_was_stopped_and_what_is_left_out_and_asks_before_the_same_region() {
    let (mut studio, names) = named();
    while !studio.screen(120, 40).contains(" HOLD") {
        studio.enter();
    }
    studio.wait(10).press("p");
    let words = |studio: &Studio| {
        let screen = studio.screen(80, 24).replace('█', "");
        screen.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let shown = words(&studio);
    let left_out = &format!("{}, right: stopped at 0:10, noted as pain. Left out: its left side", names[0]);
    assert!(shown.contains(left_out), "{shown}");
    assert!(shown.contains("go on without it"), "{shown}");
    let lines = studio.app.lines(studio.now()).join("\n");
    assert!(lines.contains(left_out), "{lines}");
    while !studio.screen(80, 24).contains("what came out") {
        studio.press(" ").wait(7);
    }
    let session = studio.client("w-lindqvist").sessions.last().cloned().expect("one");
    let catalogue = studio.app.shared.catalogue.clone();
    let targets = |report: &matside::client::Report| -> Vec<matside::body::Muscle> {
        let (_, form) = catalogue.form(&report.stretch, &report.form).expect("known");
        form.targets.iter().map(|target| target.muscle).collect()
    };
    let hurt = session.reports[&1].clone();
    assert_eq!(hurt.ended, matside::client::Ended::Pain);
    for report in session.reports.values().skip(1).filter(|report| report.held.get() > 0) {
        let apart = report.side.is_some() && report.side != hurt.side;
        let meets = targets(report).iter().any(|muscle| targets(&hurt).contains(muscle));
        assert!(apart || !meets, "{} reaches what hurt", report.stretch);
    }
}

#[test]
fn after_pain_in_the_neck_the_next_stretch_of_the_neck_is_asked_about_first() {
    let mut studio = Studio::demo_planned_with(Budget::passes(1));
    studio.press("achter").enter();
    // Nothing but the neck, so that one stretch of it follows another.
    for muscle in ["upper trap", "levator", "side of the neck"] {
        studio.press(muscle).enter();
    }
    studio.enter();
    if studio.screen(80, 24).contains("of 16") {
        studio.all_no();
    }
    studio.agree().enter().enter().wait(5).press("p");
    let lines = studio.app.lines(studio.now());
    assert!(
        lines[1].starts_with("Ease out. Pain saved: ") && lines[1].contains(", right, before its hold"),
        "{lines:?}"
    );
    assert!(lines[2..6].iter().any(|line| line.contains("at the neck, too: ask first")), "{lines:?}");
    assert_seen(&studio, &["PAIN", "at the neck, too: ask first"]);
    let before = studio.screen(80, 24);
    studio.key(KeyCode::Right);
    assert!(!studio.screen(80, 24).contains("PAIN") && studio.screen(80, 24) != before);
}

#[test]
fn an_answer_that_comes_late_says_for_which_stretch_it_counts() {
    let (mut studio, names) = named();
    hold(&mut studio, 12, "3");
    assert_seen(&studio, &["READY"]);
    assert!(says(&studio, &format!("{}, right: 3, saved", names[0])), "{}", studio.screen(120, 40));
    studio.press("4");
    assert!(says(&studio, &format!("{}, right: 4, saved", names[0])), "{}", studio.screen(120, 40));
    assert!(!studio.screen(120, 40).contains("ease off"), "the new stretch has no answer yet");
    studio.enter();
    assert_seen(&studio, &["HOLD", "1 to 5? "]);
}

#[test]
fn all_that_is_narrowed_stays_shown() {
    let mut studio = begun();
    studio.enter().enter().press("lm").press("lt");
    assert_seen(&studio, &["no massage; a towel stays between"]);
    studio.press("lb");
    let all = "no hands, by themselves; no massage; a towel stays between";
    assert_seen(&studio, &[all]);
    assert!(studio.app.lines(studio.now()).join("\n").contains(all));
}

#[test]
fn late_says_what_is_due_and_what_can_be_done() {
    let mut studio = begun();
    studio.enter().enter().press(" ").wait(60).press(" ");
    let screen = studio.screen(80, 24);
    assert!(screen.contains("late   up in "), "{screen}");
    let mut studio = begun();
    assert_seen(&studio, &["on time   up in "]);
    hold(&mut studio, 12, "3");
    assert_seen(&studio, &[" early   up in "]);
}

#[test]
fn a_skipped_step_that_is_held_and_answered_in_the_review_counts_as_done() {
    let (mut studio, names) = named();
    studio.enter().enter().key(KeyCode::Right);
    hold(&mut studio, 12, "3");
    studio.finish();
    let first = |studio: &Studio| {
        let session = studio.client("w-lindqvist").sessions.last().cloned().expect("one");
        session.reports[&1].clone()
    };
    assert_eq!(first(&studio).ended, matside::client::Ended::Skipped);
    assert_seen(&studio, &["of 10 minutes"]);
    assert!(says(&studio, &format!("{}: on the right only", names[1])), "{}", studio.screen(120, 40));
    studio.key(KeyCode::Home).press(">");
    assert_eq!(first(&studio).ended, matside::client::Ended::Skipped, "nothing was answered");
    studio.key(KeyCode::Home).press("4");
    assert_eq!(first(&studio).ended, matside::client::Ended::Done);
    studio.press("z");
    assert_eq!(first(&studio).ended, matside::client::Ended::Skipped);
}

#[test]
fn of_every_form_what_is_said_and_where_hands_go_fit_in_a_low_terminal() {
    /// Rows and columns that 80 by 24 has for each of them.
    const ROOM: (usize, usize) = (2, 65);
    let lines = |words: &str| matside::tui::text::wrap(&format!("\"{words}\""), ROOM.1).len();
    for stretch in matside::catalogue::Catalogue::built_in().stretches() {
        for form in &stretch.forms {
            for words in [&form.cues.say, &form.cues.push, &form.cues.hands] {
                assert!(lines(words) <= ROOM.0, "{} {}: {words}", stretch.id, form.id);
            }
        }
    }
}

#[test]
fn an_owed_side_can_be_left_out_and_what_is_kept_does_not_hinder_the_rest() {
    let (mut studio, names) = named();
    hold(&mut studio, 12, "3");
    hold(&mut studio, 12, "4");
    let mut studio = studio.killed();
    studio.press("lind").enter().enter().key(KeyCode::Tab);
    let steps = |studio: &Studio| {
        let lines = studio.app.lines(studio.now());
        lines.into_iter().filter(|line| line.contains(". at ")).collect::<Vec<_>>()
    };
    let before = steps(&studio);
    assert!(before.len() > 2 && before[0].contains(&format!("left, {}", names[0])), "{before:?}");
    studio.press("k");
    assert_eq!(steps(&studio).len(), before.len(), "the rest stays");
    studio.press("x");
    let after = steps(&studio);
    assert!(after[0].contains(&format!("left, {}", names[1])), "{after:?}");
    assert!(!after.iter().any(|step| step.contains(&names[0])), "{after:?}");
    studio.press("z");
    assert!(steps(&studio)[0].contains(&format!("left, {}", names[0])));
}

#[test]
fn the_last_row_of_a_low_terminal_has_the_keys_that_matter_in_a_block() {
    let studio = begun();
    let screen = studio.screen(80, 24);
    let last = screen.lines().nth(23).expect("a row");
    for key in ["1-5 ", "p pain", "s stop", "Space pause", "→ next", "i more", "Esc leave", "? help"] {
        assert!(last.contains(key), "{key}: {last}");
    }
}

#[test]
fn pain_stands_on_the_band_however_short_the_stretch_was() {
    let mut studio = begun();
    studio.enter().enter().wait(2).press("p").press(" ").key(KeyCode::Right);
    for (columns, rows) in super::SIZES {
        let lanes = lanes(&studio, columns, rows);
        assert!(lanes[1].trim_start_matches(['█', ' ']).starts_with('▲'), "{lanes:?}");
    }
}

#[test]
fn the_trainers_own_stance_is_drawn_once_a_step_until_the_hold_begins() {
    let drawn = |studio: &Studio, (columns, rows): (u16, u16)| {
        let buffer = studio.buffer(columns, rows);
        // The left part of the rows below the band, where the number stands in a hold.
        let rows = 14..25_u16.min(rows);
        rows.flat_map(|y| (4..34_u16).map(move |x| (x, y)))
            .filter(|place| buffer[*place].symbol() != " ")
            .count()
    };
    let mut studio = Studio::demo_planned_with(Budget::passes(1));
    studio.press("feldm").enter().press("ham").enter().enter();
    if studio.screen(80, 24).contains("of 16") {
        studio.all_no();
    }
    // The client is asked and settles first.
    studio.agree().wait(17);
    assert!(drawn(&studio, (120, 40)) > 40, "{}", studio.screen(120, 40));
    let cue = |studio: &Studio| {
        studio.screen(120, 40).lines().any(|line| line.trim_start_matches(['█', ' ']).starts_with("you "))
    };
    assert!(cue(&studio), "in words as well:\n{}", studio.screen(120, 40));
    studio.wait(40);
    let works = ["HOLD", "PUSH", "RELAX"].iter().any(|word| studio.screen(120, 40).contains(word));
    assert!(works && !cue(&studio), "{}", studio.screen(120, 40));
}
