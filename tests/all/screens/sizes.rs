//! Every screen in sizes that nobody chose: nothing panics, nothing is drawn outside, and 40x12 is enough.

use std::path::Path;

use matside::caution::RecordedCondition;
use matside::client::Profile;
use matside::planner::Budget;
use matside::store::Store;
use matside::tui::keys::{self, Action, Mode};
use matside::tui::theme::{Background, ColourDepth, Theme};
use ratatui::buffer::{Buffer, Cell};
use ratatui::crossterm::event::KeyCode;
use ratatui::layout::Rect;

use super::studio::Studio;

/// From the least to the widest and the tallest.
const SIZES: [(u16, u16); 14] = [
    (1, 1),
    (2, 1),
    (5, 3),
    (20, 5),
    (39, 11),
    (40, 12),
    (41, 13),
    (79, 23),
    (80, 24),
    (100, 30),
    (120, 40),
    (200, 60),
    (300, 10),
    (10, 100),
];

const THEMES: [Theme; 3] = [
    Theme { depth: ColourDepth::True, background: Background::Dark, ascii: false },
    Theme { depth: ColourDepth::Sixteen, background: Background::Light, ascii: false },
    Theme { depth: ColourDepth::None, background: Background::Dark, ascii: true },
];

/// Draws what is on top in every size and theme, in the middle of a larger buffer, and looks for some words.
fn draws_everywhere(studio: &mut Studio, words: &str) {
    let marked = Cell::new("~");
    let theme = studio.app.shared.theme;
    for (columns, rows) in SIZES {
        let area = Rect::new(3, 2, columns, rows);
        for theme in THEMES {
            studio.app.shared.theme = theme;
            let mut buf = Buffer::filled(Rect::new(0, 0, columns + 6, rows + 4), marked.clone());
            let now = studio.now();
            studio.app.prepare((columns, rows), now);
            studio.app.draw(area, &mut buf, now);
            for y in 0..buf.area.height {
                for x in 0..buf.area.width {
                    let inside = area.contains((x, y).into());
                    assert!(inside || buf[(x, y)] == marked, "{words}: {columns}x{rows}, drawn at {x}, {y}");
                }
            }
        }
        studio.app.shared.theme = theme;
        let screen = studio.screen(columns, rows).split_whitespace().collect::<Vec<_>>().join(" ");
        if columns >= 40 && rows >= 12 {
            assert!(
                screen.contains(words),
                "`{words}` in {columns}x{rows}:\n{}",
                studio.screen(columns, rows)
            );
        } else if columns >= 20 && rows >= 5 {
            assert!(screen.contains("matside needs 40x12"), "{columns}x{rows}: {screen}");
        }
    }
    assert!(!studio.app.lines(studio.now()).is_empty());
}

#[test]
fn the_day_its_help_and_commands() {
    let mut studio = Studio::empty();
    draws_everywhere(&mut studio, "No clients yet");
    let mut studio = Studio::demo();
    draws_everywhere(&mut studio, "Who is next?");
    studio.key(KeyCode::End);
    draws_everywhere(&mut studio, "Who is next?");
    studio.press("/zzz");
    draws_everywhere(&mut studio, "Nobody of that name");
    studio.key(KeyCode::Esc).press("?");
    draws_everywhere(&mut studio, "plan for this client");
    studio.key(KeyCode::PageDown);
    draws_everywhere(&mut studio, "Esc goes back");
    studio.key(KeyCode::Esc).press(":");
    draws_everywhere(&mut studio, "type a few letters");
    studio.press("zzz");
    draws_everywhere(&mut studio, "no command of that name");
}

#[test]
fn every_screen_that_a_key_opens_by_itself_is_drawn_and_told_and_can_be_left() {
    for detour in keys::detours() {
        let mut studio = Studio::demo();
        studio.app.open(detour);
        let slots = keys::slots(Mode::On(detour));
        let way_out = slots.iter().rfind(|slot| slot.action == Action::Back).expect("a way out");
        draws_everywhere(&mut studio, &format!("{} {}", way_out.keys[0].name(), way_out.words));
        studio.key(KeyCode::Esc);
        draws_everywhere(&mut studio, "Who is next?");
    }
}

#[test]
fn files_that_cannot_be_read() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.write("clients/zoe.toml", "name = ");
    studio.key(KeyCode::F(2)).key(KeyCode::Esc);
    draws_everywhere(&mut studio, &format!("▲ {}", Path::new("clients").join("zoe.toml").display()));
}

#[test]
fn a_card_and_the_search_for_a_condition() {
    let mut studio = Studio::empty();
    studio.control('n');
    draws_everywhere(&mut studio, "only the name is needed");
    studio.press("山田 花子").key(KeyCode::Down).key(KeyCode::Down).press("2015").key(KeyCode::Up);
    draws_everywhere(&mut studio, "山田 花子");
    studio.press("shou");
    draws_everywhere(&mut studio, "shoulder");
    studio.key(KeyCode::Down).enter();
    draws_everywhere(&mut studio, "which side?");
    studio.enter().press("zzz");
    draws_everywhere(&mut studio, "No condition of that name");
    let mut studio = Studio::demo();
    studio.press("feldm").key(KeyCode::F(2));
    for _ in 0..12 {
        draws_everywhere(&mut studio, "Card");
        studio.key(KeyCode::Down);
    }
}

#[test]
fn every_view_of_a_history() {
    const VIEWS: [&str; 5] = ["[Year]", "[Stretch]", "[Weeks]", "[Sessions]", "[Quarters]"];
    let mut studio = Studio::demo();
    studio.press("feldm").key(KeyCode::F(3));
    for view in VIEWS {
        draws_everywhere(&mut studio, view);
        studio.key(KeyCode::PageDown);
        draws_everywhere(&mut studio, view);
        if view == "[Quarters]" {
            studio.enter();
            draws_everywhere(&mut studio, view);
            studio.key(KeyCode::Right).key(KeyCode::Right);
            draws_everywhere(&mut studio, view);
            studio.key(KeyCode::Esc);
        }
        if view == "[Sessions]" {
            studio.enter();
            draws_everywhere(&mut studio, " 2026, ");
            studio.key(KeyCode::PageDown);
            draws_everywhere(&mut studio, view);
            studio.key(KeyCode::Esc);
        }
        studio.press("i");
        draws_everywhere(&mut studio, "What it tells");
        studio.key(KeyCode::PageDown).press("i").key(KeyCode::Right);
    }
    studio.press("/zzz").enter();
    for view in VIEWS {
        draws_everywhere(&mut studio, view);
        studio.key(KeyCode::Right);
    }
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.key(KeyCode::F(3));
    draws_everywhere(&mut studio, "No session yet");
}

#[test]
fn a_plan_with_all_that_lies_over_it() {
    let mut studio = Studio::demo_planned_with(Budget::passes(1));
    studio.press("feldm").enter();
    draws_everywhere(&mut studio, "Type what was trained");
    studio.press("fu");
    draws_everywhere(&mut studio, "full body");
    studio.press("zzz");
    draws_everywhere(&mut studio, "no muscle of that name");
    studio.key(KeyCode::Esc).press("full").enter();
    draws_everywhere(&mut studio, "10 min, up at 18:55");
    studio.key(KeyCode::Tab).key(KeyCode::Down).press("k");
    draws_everywhere(&mut studio, "Trained");
    studio.press("o");
    draws_everywhere(&mut studio, "Left out");
    studio.key(KeyCode::Down).key(KeyCode::End).key(KeyCode::Esc).control('e');
    draws_everywhere(&mut studio, "finish by");
    studio.press("2030").enter();
    draws_everywhere(&mut studio, "minutes");
    studio.key(KeyCode::Esc).control('e').press("1900").enter();
    draws_everywhere(&mut studio, "15 min, up at 19:00");
    studio.press("?");
    draws_everywhere(&mut studio, "Keys");
}

#[test]
fn a_client_who_must_not_be_stretched() {
    let mut studio = Studio::empty();
    let store = Store::open(studio.root()).expect("a folder");
    let id = store.new_id("Nora Quint").expect("an id");
    let stop: RecordedCondition =
        matside::caution::parse_recorded("cauda-equina-signs").expect("a condition");
    store.create(&Profile { conditions: vec![stop], ..Profile::new(id, "Nora Quint") }).expect("a file");
    studio.control('n').key(KeyCode::Esc).enter().press("ham").enter();
    draws_everywhere(&mut studio, "Nora Quint");
}

#[test]
fn the_questions_before_hands_on_work() {
    let mut studio = Studio::empty();
    studio.press("Nora Quint").enter().control('p').press("ham").enter().enter();
    draws_everywhere(&mut studio, "1 of 16");
    studio.press("nnnnn");
    draws_everywhere(&mut studio, "6 of 16");
    studio.press("y").all_no();
    draws_everywhere(&mut studio, "Ask further");
    studio.press("x").press("Dr Moreau");
    draws_everywhere(&mut studio, "Dr Moreau");
    studio.key(KeyCode::Esc).key(KeyCode::Backspace).press("n");
    draws_everywhere(&mut studio, "Nora Quint");
}

#[test]
fn a_block_from_consent_to_review() {
    let mut studio = Studio::with(&["Zoë Ångström"]);
    studio.enter().press("ham").enter().press("chest").enter().enter();
    draws_everywhere(&mut studio, "May I ");
    studio.press("tm");
    draws_everywhere(&mut studio, "towel between: yes");
    studio.press("m").agree();
    draws_everywhere(&mut studio, "READY");
    studio.wait(32).press("5");
    draws_everywhere(&mut studio, "HOLD");
    studio.press("i");
    draws_everywhere(&mut studio, "i closes");
    studio.key(KeyCode::Down).press("i");
    while !studio.screen(80, 24).contains("what came out") {
        draws_everywhere(&mut studio, "Esc leave");
        studio.wait(7);
    }
    let mut studio = Studio::with(&["Zoë Ångström"]);
    studio.enter().press("ham").enter().enter().agree().wait(40).press(" ");
    draws_everywhere(&mut studio, "PAUSED");
    studio.press("l");
    draws_everywhere(&mut studio, "a towel between");
    studio.press(" s");
    draws_everywhere(&mut studio, "Hands off. The clock stands.");
    studio.press("d");
    draws_everywhere(&mut studio, "Enter notes it");
    studio.press(" ").words("4 minutes");
    draws_everywhere(&mut studio, "Esc leave");
    studio.key(KeyCode::Esc);
    draws_everywhere(&mut studio, "Esc once more leaves");
    studio.key(KeyCode::Esc).enter();
    draws_everywhere(&mut studio, "was cut off after");
    studio.enter().enter().agree().wait(60).press("p");
    draws_everywhere(&mut studio, "PAIN");
    studio.finish();
    draws_everywhere(&mut studio, "what came out");
    studio.press("r").press("calm, and glad of it");
    draws_everywhere(&mut studio, "calm, and glad of it");
}

#[test]
fn contract_relax_and_massage() {
    let mut studio = Studio::demo_planned_with(Budget::passes(1));
    studio.press("achter").enter().press("ham").enter().enter();
    if studio.screen(80, 24).contains("of 16") {
        studio.all_no();
    }
    studio.agree();
    while !studio.screen(80, 24).contains("what came out") {
        draws_everywhere(&mut studio, "Esc leave");
        studio.wait(9);
    }
}
