//! Which keys does the remote send? Each button is pressed once, in the order in which it is asked for.

use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::effect::Effect;
use crate::tui::event::{KeyEvent, Now, ScreenEvent};
use crate::tui::go::Go;
use crate::tui::keys::{Action, Detour, Key, Mode, RemoteKeys, teachable};
use crate::tui::page::Page;
use crate::tui::shared::{Context, Shared};
use crate::tui::text::cells;
use crate::tui::theme::Tone;

/// The buttons in their order, with what each does in a block.
const BUTTONS: [(&str, &str); 4] = [
    ("Back", "pause; counts an answer from five down"),
    ("On", "where it stands; twice: next; counts an answer from one up"),
    ("Third", "ease out; once more: pain"),
    ("Fourth", "takes the last thing back"),
];

/// The least buttons of a remote.
const LEAST: usize = 2;

/// The buttons that were pressed so far.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    pressed: Vec<Key>,
}

impl State {
    /// The keys that hold here.
    pub const fn mode(&self) -> Mode {
        Mode::On(Detour::TeachRemote)
    }

    /// Takes in a key.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        match event {
            ScreenEvent::Pressing(event) => self.press(*event, context),
            ScreenEvent::Action(Action::Choose) if self.pressed.len() < LEAST => {
                context.shared.say(Tone::Caution, "a remote has two buttons at least; nothing is kept yet");
                Go::Stay
            }
            ScreenEvent::Action(Action::Choose) => self.keep(context),
            ScreenEvent::Action(Action::Back) => Go::Back,
            _ => Go::Stay,
        }
    }

    fn press(&mut self, event: KeyEvent, context: &mut Context<'_>) -> Go {
        match teachable(event) {
            Ok(key) => match self.pressed.iter().position(|other| *other == key) {
                Some(index) => {
                    context
                        .shared
                        .say(Tone::Caution, format!("{} is {} already", key.name(), BUTTONS[index].0));
                }
                None => self.pressed.push(key),
            },
            Err(why) => context.shared.say(Tone::Caution, why),
        }
        if self.pressed.len() == BUTTONS.len() { self.keep(context) } else { Go::Stay }
    }

    fn keep(&self, context: &mut Context<'_>) -> Go {
        context.shared.remote = RemoteKeys::taught(&self.pressed);
        let names = context.shared.remote.names();
        context.shared.say(Tone::Good, format!("the remote has {} buttons: {names}", self.pressed.len()));
        context.ask(Effect::KeepRemote(names));
        Go::Back
    }

    /// What is asked next.
    fn question(&self) -> String {
        let (name, _) = BUTTONS[self.pressed.len().min(BUTTONS.len() - 1)];
        let enough = if self.pressed.len() < LEAST { "" } else { " Or Enter: there are no more." };
        format!("Press the button for {name}.{enough}")
    }

    /// Draws the buttons.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, _: &Shared, _: Now) {
        canvas.clear(area);
        canvas.heading(area, 0, "Remote", "two to four buttons, for a block");
        canvas.wrapped(area, 2, Tone::Strong, &self.question());
        let list = canvas::below(area, 4);
        for (index, (name, does)) in BUTTONS.iter().enumerate() {
            let key = self.pressed.get(index).map_or_else(|| "-".to_owned(), |key| key.name());
            let y = cells(index);
            canvas.row(list, y, Tone::Focus, &key);
            canvas.at(list, 10, y, Tone::Text, name);
            canvas.at(list, 18, y, Tone::Dim, does);
        }
    }

    /// The same as lines.
    pub fn lines(&self, _: &Shared, _: Now) -> Page {
        let mut page = Page::new("the remote", "Remote: two to four buttons.");
        page.ask(self.question());
        page.about("buttons");
        page.extend(
            self.pressed.iter().zip(BUTTONS).map(|(key, (name, _))| format!("{name}: {}.", key.name())),
        );
        page
    }
}
