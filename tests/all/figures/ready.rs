//! Drawing a screen works no picture out: it shows what is ready, and what is not is left out.

use matside::tui::app::App;
use matside::tui::event::Now;
use matside::tui::widgets::pictures::Pictures;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::screens::studio::Studio;

/// How many cells of a screen are such as only pictures have.
fn pictured(app: &App, (columns, rows): (u16, u16), now: Now) -> usize {
    let area = Rect::new(0, 0, columns, rows);
    let mut buf = Buffer::empty(area);
    app.draw(area, &mut buf, now);
    buf.content.iter().filter(|cell| "▖▗▘▝▙▛▜▟".contains(cell.symbol())).count()
}

#[test]
fn drawing_shows_only_pictures_that_were_worked_out_before() {
    let mut studio = Studio::demo_in_colour();
    studio.press("feldm").enter();
    let now = studio.now();
    let mut app = studio.app.clone();
    app.shared.pictures = Pictures::default();
    for size in [(120, 40), (200, 60)] {
        let blank = pictured(&app, size, now);
        assert_eq!(pictured(&app, size, now), blank, "a second drawing knows no more than the first");
        app.prepare(size, now);
        let ready = pictured(&app, size, now);
        assert!(ready > blank + 30, "{blank} cells before, {ready} after at {size:?}");
        app.prepare(size, now);
        assert_eq!(pictured(&app, size, now), ready);
        assert!(!app.shared.pictures.work_out(), "nothing more is wanted at {size:?}");
    }
}

#[test]
fn in_ascii_the_block_and_the_plan_say_how_the_client_lies_and_which_leg_moves() {
    let mut studio = Studio::demo_in_colour();
    studio.app.shared.theme.ascii = true;
    studio.press("feldm").enter().press("ham").enter();
    let words = |studio: &Studio, (columns, rows): (u16, u16)| {
        let screen = studio.screen(columns, rows);
        assert!(screen.is_ascii(), "{screen}");
        screen.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let plan = words(&studio, (120, 40));
    assert!(plan.contains("> right Straight-leg raise: hand on heel on the back"), "{plan}");
    studio.enter().agree();
    for size in [(80, 24), (120, 40), (200, 60)] {
        let block = words(&studio, size);
        assert!(block.contains("on the back, the right leg"), "{size:?}: {block}");
    }
}
