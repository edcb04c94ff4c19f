//! Any keys at all: nothing panics, and no report that was acknowledged is lost.

use matside::tui::event::{Event, Wheel};
use proptest::prelude::*;
use proptest::test_runner::Config;
use ratatui::crossterm::event::KeyCode;

use super::studio::Studio;

/// Presses in one run.
const PRESSES: usize = 400;

/// Sizes that the screens are drawn in, one after each press; most are small, so that it does not take minutes.
const SIZES: [(u16, u16); 8] = [(1, 1), (40, 12), (41, 13), (2, 1), (80, 24), (20, 5), (63, 17), (39, 11)];

/// 100,000 presses, unless `PROPTEST_CASES` says otherwise.
fn config() -> Config {
    let cases = if std::env::var_os("PROPTEST_CASES").is_some() { Config::default().cases } else { 250 };
    Config { cases, failure_persistence: None, max_shrink_iters: 200, ..Config::default() }
}

#[derive(Debug, Clone, Copy)]
enum Press {
    Code(KeyCode),
    Letter(char),
    Control(char),
    Wait(u64),
    Sleep(u64),
    Look(u16, u16),
    Click(u16, u16),
    Wheel(bool),
}

fn press() -> impl Strategy<Value = Press> {
    let codes = [
        KeyCode::Enter,
        KeyCode::Enter,
        KeyCode::Esc,
        KeyCode::Tab,
        KeyCode::BackTab,
        KeyCode::Up,
        KeyCode::Down,
        KeyCode::Left,
        KeyCode::Right,
        KeyCode::PageDown,
        KeyCode::Home,
        KeyCode::End,
        KeyCode::Backspace,
        KeyCode::Delete,
        KeyCode::F(1),
        KeyCode::F(2),
        KeyCode::F(3),
        KeyCode::F(4),
        KeyCode::F(5),
    ];
    prop_oneof![
        6 => prop::sample::select(codes.to_vec()).prop_map(Press::Code),
        6 => prop::sample::select("ypsfbmdtnNxcougkvlrzei/ha+-=<>., ?:012345690".chars().collect::<Vec<_>>()).prop_map(Press::Letter),
        1 => any::<char>().prop_map(Press::Letter),
        1 => prop::sample::select(vec!['z', 's', 'p', 'e', 'r', 'n', 'w', 'u', 'l', 'c']).prop_map(Press::Control),
        2 => (1_u64..60).prop_map(Press::Wait),
        1 => (1_u64..5000).prop_map(Press::Sleep),
        1 => (0_u16..130, 0_u16..45).prop_map(|(columns, rows)| Press::Look(columns, rows)),
        1 => (0_u16..85, 0_u16..26).prop_map(|(column, row)| Press::Click(column, row)),
        1 => any::<bool>().prop_map(Press::Wheel),
    ]
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn any_keys_are_survived_and_no_report_is_lost(presses in prop::collection::vec(press(), PRESSES)) {
        let mut studio = Studio::with(&["Ilse Brandt", "Zoë Ångström"]);
        // Half way in, so that the live block is often reached.
        studio.enter().press("ham").enter().enter();
        for (press, (columns, rows)) in presses.into_iter().zip(SIZES.into_iter().cycle()) {
            match press {
                Press::Code(code) => { studio.key(code); }
                Press::Letter(letter) => { studio.key(KeyCode::Char(letter)); }
                Press::Control(letter) => { studio.control(letter); }
                Press::Wait(seconds) => { studio.wait(seconds); }
                Press::Sleep(seconds) => { studio.sleep(seconds); }
                Press::Click(column, row) => studio.send(Event::Click { at: (column, row), size: (80, 24) }),
                Press::Wheel(down) => studio.send(Event::Wheel(if down { Wheel::Down } else { Wheel::Up })),
                Press::Look(columns, rows) => {
                    studio.screen(columns, rows);
                    prop_assert!(!studio.app.lines(studio.now()).is_empty());
                }
            }
            studio.buffer(columns, rows);
        }
        prop_assert_eq!(studio.acknowledged, studio.reports_on_disk());
    }
}
