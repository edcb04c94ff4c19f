//! A remote or a foot pedal with two to four buttons: what a press means while a block is under way.
//!
//! No single press notes anything. A number is opened by one press, counted by others, spoken each time, and noted only
//! after two quiet seconds; pain takes the third button twice, of which the first already frees the client; going on
//! takes two quick presses and a moment in which the button is let go. How long each moment is, is our judgement.

use std::collections::VecDeque;
use std::time::Duration;

use crate::body::Level;
use crate::session::Moment;

/// A button within this after the same one is the same press.
const BOUNCE: Duration = Duration::from_millis(120);
/// So many presses of one button in so long are a button that is stuck: none of them counts.
const STUCK: (usize, Duration) = (5, Duration::from_millis(600));
/// Two presses within this are 'twice'.
const TWICE: Duration = Duration::from_millis(700);
/// What is done by pressing twice waits so long for the button to be let go.
const LET_GO: Duration = Duration::from_millis(300);
/// A number is noted after so long without a press.
const QUIET: Duration = Duration::from_secs(2);
/// So long after it was noted, back opens a number again.
const REOPENED: Duration = Duration::from_secs(3);

/// So long the last answer can be counted once the block is over.
const LAST_ANSWER: Duration = Duration::from_secs(20);

/// A button.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Button {
    /// Back: pause; an answer from five down.
    Back,
    /// On: where it is, and twice to the next step; an answer from one up.
    On,
    /// Ease out, then pain.
    Third,
    /// Undo.
    Fourth,
}

/// What the block is at, as far as a button minds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// The next stretch is made ready, and nothing is asked.
    Ready,
    /// The same, or after the last one, with the step of that number asked about.
    Asked(usize),
    /// A stretch is worked.
    Work,
    /// The block stands.
    Paused,
    /// It stands for pain.
    Pain,
    /// Hands are off.
    Stop,
    /// A sheet lies over it that needs the keys.
    Sheet,
}

/// What a press, or the quiet after it, asks of the block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ask {
    /// Say these words.
    Say(&'static str),
    /// Say the number that is counted, to be noted if nothing is pressed; none: the count is at its beginning.
    Number(Option<Level>),
    /// Say how it stands: the step, its seconds, or what is left.
    Tell,
    /// Stand still.
    Pause,
    /// Stand still and say to ease out. Nothing is noted.
    EaseOut,
    /// Go on from where it stands.
    Resume,
    /// To the next step.
    Next,
    /// Note pain.
    Pain,
    /// Hands off.
    Stop,
    /// Take the last thing back.
    Undo,
    /// Note the answer for the step of that number.
    Note(usize, Level),
}

/// A number that is being counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Count {
    /// The step that it is for.
    step: usize,
    /// The button that counts on; the other one goes back.
    by: Button,
    level: Option<Level>,
    /// When it is noted.
    until: Moment,
}

/// What waits for a button to be let go.
#[derive(Debug, Clone, PartialEq, Eq)]
struct ToLetGo {
    ask: Ask,
    button: Button,
    phase: Phase,
    at: Moment,
}

/// The buttons of a block and what they have begun.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Remote {
    /// Whether the third and fourth button are two presses of the others; if nothing says so, until one is pressed.
    two: Option<bool>,
    is_used: bool,
    /// Presses of the last moments, bounces among them.
    recent: VecDeque<(Button, Moment)>,
    /// Nothing counts until the button is let go.
    is_stuck: bool,
    /// The first of what may be two quick presses.
    first: Option<(Button, Moment)>,
    awaited: Option<ToLetGo>,
    count: Option<Count>,
    /// What was noted last, and until when it can be opened again.
    noted: Option<(usize, Level, Moment)>,
    /// Whether the block stands to ease out.
    is_eased: bool,
    /// When the block ended with something still to be counted.
    over: Option<Moment>,
}

impl Remote {
    /// A remote of which it is known, or not, that it has two buttons only.
    pub fn new(two: Option<bool>) -> Self {
        Self { two, ..Self::default() }
    }

    /// The keys were used instead: nothing that was begun counts.
    pub fn put_down(&mut self) {
        (self.is_used, self.count, self.awaited, self.first) = (false, None, None, None);
    }

    /// Whether a block that is over stays for a while, for its last answer.
    pub fn waits_for_the_last(&mut self, is_asked: bool, now: Moment) -> bool {
        let over = *self.over.get_or_insert(now);
        self.is_used && (is_asked || self.count.is_some()) && now.since(over) < LAST_ANSWER
    }

    /// The number that is counted.
    pub fn counted(&self) -> Option<Level> {
        self.count.and_then(|count| count.level)
    }

    /// Whether the block stands to ease out, if it stands.
    pub const fn has_eased_out(&self) -> bool {
        self.is_eased
    }

    /// Whether the block stands to ease out, as long as it stands for nothing else.
    fn is_eased(&self, phase: Phase) -> bool {
        self.is_eased && phase == Phase::Paused
    }

    /// How long nothing is to be done.
    pub fn next_wake(&self, now: Moment) -> Option<Duration> {
        let moments = self.awaited.iter().map(|awaited| awaited.at);
        let last = self.over.map(|over| over.after(LAST_ANSWER)).filter(|last| *last > now);
        moments.chain(self.count.map(|count| count.until)).chain(last).map(|at| at.since(now)).min()
    }

    /// What has become due.
    pub fn wake(&mut self, phase: Phase, now: Moment) -> Vec<Ask> {
        if phase != Phase::Paused {
            self.is_eased = false;
        }
        let mut asks = Vec::new();
        if let Some(awaited) = self.awaited.take_if(|awaited| awaited.at <= now)
            && awaited.phase == phase
        {
            asks.push(awaited.ask);
        }
        if let Some(count) = self.count.take_if(|count| count.until <= now)
            && let Some(level) = count.level
        {
            self.noted = Some((count.step, level, now.after(REOPENED)));
            asks.push(Ask::Note(count.step, level));
        }
        asks
    }

    /// What a press asks for, after what had become due before it.
    pub fn press(&mut self, button: Button, phase: Phase, now: Moment) -> Vec<Ask> {
        self.is_used = true;
        let (is_bounce, is_stuck) = self.watch(button, now);
        if is_bounce || is_stuck {
            // Whoever holds a button down has not pressed it twice.
            self.awaited.take_if(|awaited| awaited.button == button);
        }
        if is_stuck {
            let is_new = !std::mem::replace(&mut self.is_stuck, true);
            (self.count, self.first, self.awaited) = (None, None, None);
            return if is_new { vec![Ask::Say("Stuck button. Nothing counts.")] } else { Vec::new() };
        }
        if is_bounce {
            return Vec::new();
        }
        self.is_stuck = false;
        if matches!(button, Button::Third | Button::Fourth) {
            self.two.get_or_insert(false);
        }
        let before = self.first.replace((button, now));
        let before = before.filter(|(_, at)| now.since(*at) <= TWICE).map(|(button, _)| button);
        let is_open = self.count.is_some() || matches!(phase, Phase::Asked(_));
        let button = match (before, button) {
            _ if is_open || self.two == Some(false) => button,
            (Some(Button::Back), Button::Back) => self.used_up(Button::Third),
            (Some(Button::On), Button::Back) => self.used_up(Button::Fourth),
            _ => button,
        };
        self.meant(button, before == Some(button), phase, now)
    }

    /// Two presses that were one button are not the first of anything else.
    fn used_up(&mut self, button: Button) -> Button {
        self.first = None;
        button
    }

    /// Whether this press is the one before once more, and whether the button is stuck.
    fn watch(&mut self, button: Button, now: Moment) -> (bool, bool) {
        let (most, within) = STUCK;
        self.recent.retain(|(_, at)| now.since(*at) <= within);
        let last = self.recent.iter().rev().find(|(other, _)| *other == button);
        let is_bounce = last.is_some_and(|(_, at)| now.since(*at) < BOUNCE);
        self.recent.push_back((button, now));
        let pressed = self.recent.iter().filter(|(other, _)| *other == button).count();
        (is_bounce, pressed >= most)
    }

    fn meant(&mut self, button: Button, is_twice: bool, phase: Phase, now: Moment) -> Vec<Ask> {
        if let Some(asks) = self.number(button, phase, now) {
            return asks;
        }
        let is_eased = self.is_eased(phase);
        match (phase, button) {
            (Phase::Sheet, _) => vec![Ask::Say("That needs the keys.")],
            (Phase::Stop, Button::On) if is_twice => self.await_letting_go(Ask::Resume, button, phase, now),
            (Phase::Stop, Button::On) => vec![Ask::Say("Hands off. Twice: go on.")],
            (Phase::Stop, _) | (Phase::Pain, Button::Back) => Vec::new(),
            (Phase::Pain, Button::Third) => self.at_once(Ask::Stop),
            (Phase::Paused, Button::Third) if is_eased => {
                self.await_letting_go(Ask::Pain, button, phase, now)
            }
            (Phase::Pain | Phase::Paused, Button::On) => self.at_once(Ask::Resume),
            (Phase::Paused, Button::Fourth) if is_eased => self.at_once(Ask::Resume),
            (Phase::Paused, Button::Back) if is_eased => Vec::new(),
            (Phase::Paused, Button::Back) => vec![Ask::Tell],
            (_, Button::Third) => {
                self.is_eased = true;
                self.at_once(Ask::EaseOut)
            }
            (_, Button::Fourth) => self.at_once(Ask::Undo),
            (_, Button::Back) => vec![Ask::Pause],
            (_, Button::On) if is_twice => self.await_letting_go(Ask::Next, button, phase, now),
            (_, Button::On) => vec![Ask::Tell],
        }
    }

    /// Done now; the press is not the first of two.
    fn at_once(&mut self, ask: Ask) -> Vec<Ask> {
        (self.first, self.awaited) = (None, None);
        vec![ask]
    }

    /// Done when the button has been let go; nothing is said until then.
    fn await_letting_go(&mut self, ask: Ask, button: Button, phase: Phase, now: Moment) -> Vec<Ask> {
        let button = if self.first.is_none() { Button::Back } else { button };
        self.first = None;
        self.awaited = Some(ToLetGo { ask, button, phase, at: now.after(LET_GO) });
        Vec::new()
    }

    /// Opens, counts or clears a number, where there is one to count.
    fn number(&mut self, button: Button, phase: Phase, now: Moment) -> Option<Vec<Ask>> {
        if button == Button::Third {
            self.count = None;
            return None;
        }
        let until = now.after(QUIET);
        if let Some(count) = &mut self.count {
            if button == Button::Fourth {
                self.count = None;
                return Some(vec![Ask::Say("Cleared.")]);
            }
            let on = button == count.by;
            count.level = if on { further(count.by, count.level) } else { nearer(count.by, count.level) };
            count.until = until;
            return Some(vec![Ask::Number(count.level)]);
        }
        if button == Button::Fourth {
            return None;
        }
        let noted = self.noted.take_if(|(.., until)| *until >= now && button == Button::Back);
        if let Some((step, level, _)) = noted.filter(|_| matches!(phase, Phase::Ready | Phase::Asked(_))) {
            self.count = Some(Count { step, by: Button::Back, level: Some(level), until });
            return Some(vec![Ask::Number(Some(level))]);
        }
        let Phase::Asked(step) = phase else { return None };
        self.count = Some(Count { step, by: button, level: None, until });
        Some(vec![Ask::Say(if button == Button::On { "From one." } else { "From five." })])
    }
}

/// One further from where counting began; past the end there is no number.
fn further(by: Button, level: Option<Level>) -> Option<Level> {
    let next = match (by, level.map(Level::get)) {
        (Button::On, None) => 1,
        (Button::On, Some(level)) => level + 1,
        (_, None) => 5,
        (_, Some(level)) => level - 1,
    };
    Level::new(next.into()).ok()
}

/// One nearer to where counting began.
fn nearer(by: Button, level: Option<Level>) -> Option<Level> {
    let level = level?.get();
    Level::new(if by == Button::On { level - 1 } else { level + 1 }.into()).ok()
}
