//! What hurt is left out until it was done without pain, or is asked for.

use matside::client::Ended;
use matside::planner::Budget;
use ratatui::crossterm::event::KeyCode;

use super::studio::Studio;

fn seen(studio: &Studio, words: &str) -> bool {
    studio.screen(120, 40).split_whitespace().collect::<Vec<_>>().join(" ").contains(words)
}

/// Tobias's block in its first hold, and the name of that stretch.
fn in_the_first_hold() -> (Studio, String) {
    let mut studio = Studio::demo_planned_with(Budget::FULL);
    studio.press("feldm").enter().repeat().enter().agree();
    while !seen(&studio, "HOLD") {
        studio.enter();
    }
    studio.wait(8);
    let lines = studio.app.lines(studio.now());
    let step = lines.iter().find(|line| line.starts_with("Stretch: ")).expect("a step").clone();
    let named = step.trim_start_matches("Stretch: ").split(';').next().expect("a name and a side");
    (studio, named.rsplit_once(", ").expect("a side").0.to_owned())
}

#[test]
fn a_stretch_that_hurt_is_left_out_of_the_next_plan_on_its_side_until_it_is_put_in() {
    let (mut studio, name) = in_the_first_hold();
    studio.press("p").finish().enter();
    for _ in 0..2 {
        studio.enter();
        studio.repeat();
        let told = ["left", "right"].map(|side| {
            seen(&studio, &format!("{name}, {side}: stopped for pain on 2026-11-25; left out there"))
        });
        let is_out = seen(&studio, &format!("{name}: stopped for pain on 2026-11-25"));
        assert!(is_out || told.contains(&true), "{name}: {}", studio.screen(120, 40));
        // Another block without it does not make it painless.
        studio.enter().agree().wait(40).finish().enter();
    }
    studio.enter().repeat();
    let is_out = seen(&studio, &format!("{name}: stopped for pain"));
    studio.key(KeyCode::Tab);
    if is_out {
        studio.press("o/").press(&name).enter();
    } else {
        for _ in 0..20 {
            if studio.screen(120, 40).lines().any(|line| line.contains('▌') && line.contains(&name)) {
                break;
            }
            studio.key(KeyCode::Down);
        }
        studio.press("k");
    }
    assert!(!seen(&studio, &format!("{name}, ")) && seen(&studio, &name), "{}", studio.screen(120, 40));
}

#[test]
fn pain_before_a_stretch_has_begun_counts_for_the_one_before() {
    let (mut studio, name) = in_the_first_hold();
    studio.key(KeyCode::Right);
    assert!(!seen(&studio, "HOLD"));
    studio.press("p");
    assert!(seen(&studio, &name) && seen(&studio, " PAIN"), "{}", studio.screen(120, 40));
    studio.finish();
    let client = studio.client("t-feldmann");
    let reports = &client.sessions.last().expect("a session").reports;
    let hurt: Vec<_> = reports.values().filter(|report| report.ended == Ended::Pain).collect();
    assert_eq!(hurt.len(), 1);
    assert!(hurt[0].held.get() >= 5, "it is the one that was held");
}
