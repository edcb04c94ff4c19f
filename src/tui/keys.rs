//! One table of keys: what a key means in which mode, with the words that help and footer show.

use crate::caution::screening::Answer;
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

/// What the trainer means by a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// A character that is typed.
    Type(char),
    /// A row that is clicked on, by its number in the list.
    Pick(usize),
    /// A digit.
    Digit(u8),
    /// Delete the character before the cursor.
    Erase,
    /// Delete the word before the cursor.
    EraseWord,
    /// Delete the whole line that is typed.
    EraseLine,
    /// One row up.
    Up,
    /// One row down.
    Down,
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// A page up.
    PageUp,
    /// A page down.
    PageDown,
    /// To the first.
    First,
    /// To the last.
    Last,
    /// To the next part of the screen.
    NextPart,
    /// To the part before.
    PreviousPart,
    /// Go ahead with what is chosen.
    Choose,
    /// Mark or unmark what is chosen.
    Toggle,
    /// Back, one thing at a time.
    Back,
    /// Keys of this screen.
    Help,
    /// Commands by name.
    Commands,
    /// Take the last change back.
    Undo,
    /// Leave the program; nothing is lost.
    Quit,
    /// More of it.
    More,
    /// Less of it.
    Less,
    /// Today's muscles as last time.
    AsLastTime,
    /// Keep the stretch in the plan.
    Pin,
    /// Leave out, or go on to the next step.
    Skip,
    /// The next form of the stretch.
    Form,
    /// A longer hold of the stretch.
    Longer,
    /// A shorter hold of the stretch.
    Shorter,
    /// What was left out and why.
    LeftOut,
    /// Finish by a time of day.
    FinishBy,
    /// Ask for consent and begin.
    Begin,
    /// Stand still, or go on.
    Pause,
    /// Hold longer.
    Extend,
    /// Stop for pain.
    Pain,
    /// Consent is withdrawn.
    Withdraw,
    /// Less is agreed to than before.
    NarrowConsent,
    /// So many minutes are left.
    MinutesLeft,
    /// All about the step under way.
    InFull,
    /// To the step before.
    StepBack,
    /// End the block here.
    Finish,
    /// A new client.
    NewClient,
    /// The client's plan.
    OpenPlan,
    /// The client's history.
    OpenHistory,
    /// The client's card.
    OpenClient,
    /// Look round in an invented studio.
    Demo,
    /// Dark on light, or light on dark.
    Background,
    /// Save.
    Save,
    /// Write a remark.
    Note,
    /// Write down the angle that was measured.
    Angle,
    /// Save the session in another folder.
    Elsewhere,
    /// Yes: hands-on work.
    HandsOn,
    /// The client stretches alone.
    SelfStretch,
    /// No closing block.
    Decline,
    /// No massage.
    NoMassage,
    /// A mat between hand and client.
    MatBetween,
    /// The answer to a question of the screen before hands-on work.
    Answer(Answer),
    /// Ask the questions before hands-on work.
    Screen,
    /// No to every question that is left.
    AllNo,
    /// Cleared by somebody.
    Cleared,
}

/// Where a key is pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// On every screen.
    Everywhere,
    /// Where a line of free text is typed.
    Text,
    /// The list of clients.
    Day,
    /// The muscles of the plan.
    Muscles,
    /// The steps of the plan.
    Steps,
    /// What was left out.
    LeftOut,
    /// The question what to do about a session that was cut off.
    CutOff,
    /// The question of consent.
    Consent,
    /// The questions before hands-on work.
    Screening,
    /// What came of the questions, where more has to be asked.
    ScreeningOutcome,
    /// What came of the questions, where there is no session.
    ScreeningStop,
    /// The live block.
    Live,
    /// A question over the live block.
    LiveQuestion,
    /// How many minutes are left of the live block.
    LiveMinutes,
    /// What came out.
    Review,
    /// What the sessions of a client tell.
    History,
    /// The list of a client's sessions.
    HistorySessions,
    /// One session of a client, step by step.
    HistorySession,
    /// The list of conditions, aims and such of a client's card.
    Client,
    /// A condition on a client's card.
    CardCondition,
    /// A condition on a client's card that has a side.
    CardSide,
    /// The line of a client's card that says when the client was screened.
    CardScreening,
    /// A line of free text of a client's card.
    CardText,
    /// The keys of another screen.
    Help,
    /// A list over another screen.
    Overlay,
}

impl Mode {
    /// Whether every character is typed there.
    pub const fn is_free_text(self) -> bool {
        matches!(self, Self::Text | Self::CardText)
    }
}

/// A key as the table writes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    /// A character.
    Char(char),
    /// A character with the control key.
    Ctrl(char),
    /// Any other key.
    Code(KeyCode),
    /// Any digit from 0 to 9.
    AnyDigit,
}

/// A row of the table.
#[derive(Debug)]
pub struct Binding {
    /// Where.
    pub mode: Mode,
    /// Which key.
    pub key: Key,
    /// What it means.
    pub action: Action,
    /// What it does, as help says it; also the command's name.
    pub help: &'static str,
    /// A word for the footer; empty where help is enough.
    pub short: &'static str,
}

const fn bind(mode: Mode, key: Key, action: Action, help: &'static str, short: &'static str) -> Binding {
    Binding { mode, key, action, help, short }
}

use Action as A;
use Key::{AnyDigit, Char, Code, Ctrl};
use KeyCode as C;
use Mode as P;

/// Every key of every mode.
pub static TABLE: &[Binding] = &[
    bind(P::Everywhere, Char('?'), A::Help, "show the keys of this screen", "help"),
    bind(P::Everywhere, Code(C::F(1)), A::Help, "show the keys of this screen", ""),
    bind(P::Everywhere, Char(':'), A::Commands, "find a command by its name", ""),
    bind(P::Everywhere, Ctrl('c'), A::Quit, "leave; asks once where something is not saved", ""),
    bind(P::Everywhere, Ctrl('q'), A::Quit, "leave; asks once where something is not saved", ""),
    bind(P::Everywhere, Ctrl('z'), A::Undo, "take the last change back", ""),
    bind(P::Everywhere, Ctrl('l'), A::Background, "change between dark and light", ""),
    bind(P::Everywhere, Code(C::Esc), A::Back, "go back", ""),
    bind(P::Everywhere, Code(C::Up), A::Up, "one up", ""),
    bind(P::Everywhere, Code(C::Down), A::Down, "one down", ""),
    bind(P::Everywhere, Code(C::Left), A::Left, "to the left", ""),
    bind(P::Everywhere, Code(C::Right), A::Right, "to the right", ""),
    bind(P::Everywhere, Code(C::PageUp), A::PageUp, "a page up", ""),
    bind(P::Everywhere, Code(C::PageDown), A::PageDown, "a page down", ""),
    bind(P::Everywhere, Code(C::Home), A::First, "to the first", ""),
    bind(P::Everywhere, Code(C::End), A::Last, "to the last", ""),
    bind(P::Everywhere, Code(C::Backspace), A::Erase, "erase a letter", ""),
    bind(P::Everywhere, Ctrl('w'), A::EraseWord, "erase a word", ""),
    bind(P::Everywhere, Ctrl('u'), A::EraseLine, "erase the line", ""),
    bind(P::Everywhere, Code(C::Tab), A::NextPart, "to the next part of the screen", ""),
    bind(P::Everywhere, Code(C::BackTab), A::PreviousPart, "to the part before", ""),
    bind(P::Everywhere, Code(C::Enter), A::Choose, "go ahead", ""),
    bind(P::Text, Code(C::Enter), A::Choose, "take it", "take it"),
    bind(P::Text, Code(C::Esc), A::Back, "go back", "back"),
    // The day.
    bind(P::Day, Code(C::Enter), A::Choose, "plan for this client", "plan"),
    bind(P::Day, Char('+'), A::NewClient, "write a new client's card", "new client"),
    bind(P::Day, Code(C::Tab), A::OpenHistory, "what this client's sessions tell", "history"),
    bind(P::Day, Code(C::F(2)), A::OpenClient, "this client's card", "card"),
    bind(P::Day, Char('='), A::OpenClient, "this client's card", ""),
    bind(P::Day, Code(C::F(5)), A::Demo, "look round in an invented studio", ""),
    // The plan: muscles.
    bind(
        P::Muscles,
        Code(C::Enter),
        A::Choose,
        "mark the muscle; with nothing typed, ask consent and start",
        "mark / start",
    ),
    bind(P::Muscles, Char(' '), A::Toggle, "mark the muscle, again for harder, then not at all", ""),
    bind(P::Muscles, AnyDigit, A::Digit(0), "1 a little, 2 properly, 3 hard, 0 not trained", "how hard"),
    bind(P::Muscles, Char('+'), A::More, "a minute more", "minutes"),
    bind(P::Muscles, Char('-'), A::Less, "a minute less", ""),
    bind(P::Muscles, Char('='), A::AsLastTime, "the same muscles as last time", "as last time"),
    bind(P::Muscles, Code(C::Tab), A::NextPart, "to the steps", "steps"),
    bind(P::Muscles, Code(C::F(2)), A::OpenClient, "the client's card", ""),
    bind(P::Muscles, Code(C::F(3)), A::OpenHistory, "what the sessions tell", ""),
    bind(P::Muscles, Code(C::F(4)), A::LeftOut, "what was left out and why", ""),
    bind(P::Muscles, Ctrl('t'), A::FinishBy, "finish by a time of day", "by the clock"),
    // The plan: steps.
    bind(P::Steps, Code(C::Enter), A::Begin, "ask consent and start", "start"),
    bind(P::Steps, Char('p'), A::Pin, "keep this stretch in the plan", "keep"),
    bind(P::Steps, Char('x'), A::Skip, "leave this stretch out", "leave out"),
    bind(P::Steps, Char('f'), A::Form, "another form of this stretch", "form"),
    bind(P::Steps, Char('l'), A::Longer, "hold this stretch longer", "longer"),
    bind(P::Steps, Char('s'), A::Shorter, "hold this stretch shorter", ""),
    bind(P::Steps, Char('o'), A::LeftOut, "what was left out and why", "left out"),
    bind(P::Steps, Char('i'), A::InFull, "all about this stretch, and the cautions in full", "all about it"),
    bind(P::Steps, Code(C::F(4)), A::LeftOut, "what was left out and why", ""),
    bind(P::Steps, Char('u'), A::Undo, "take the last change back", "undo"),
    bind(P::Steps, Char('+'), A::More, "a minute more", "minutes"),
    bind(P::Steps, Char('-'), A::Less, "a minute less", ""),
    bind(P::Steps, Char('h'), A::OpenHistory, "what the sessions tell", ""),
    bind(P::Steps, Char('c'), A::OpenClient, "the client's card", ""),
    bind(P::Steps, Code(C::Tab), A::NextPart, "to the muscles", "muscles"),
    bind(P::Steps, Ctrl('t'), A::FinishBy, "finish by a time of day", ""),
    bind(P::CutOff, Code(C::Enter), A::Choose, "take the block up where it was cut off", "take up"),
    bind(P::CutOff, Char('c'), A::Finish, "look at what came out and close it", "close"),
    bind(P::CutOff, Code(C::Esc), A::Back, "back to the day", "back"),
    // What was left out.
    bind(P::LeftOut, Code(C::Enter), A::Pin, "put this stretch into the plan", "put in"),
    bind(P::LeftOut, Code(C::Esc), A::Back, "back to the plan", "back"),
    // Consent.
    bind(P::Consent, Char('y'), A::HandsOn, "yes, hands-on work is fine", "yes, hands-on"),
    // Twice the key that starts must not say yes for the client.
    bind(P::Consent, Code(C::Enter), A::Choose, "ask first: the client's answer has a key of its own", ""),
    bind(P::Consent, Char('s'), A::SelfStretch, "the client stretches alone, you coach", "self-stretch only"),
    bind(P::Consent, Char('m'), A::NoMassage, "no massage today, or as the card says", "no massage"),
    bind(P::Consent, Char('b'), A::MatBetween, "a mat or towel between, or not", "mat between"),
    bind(P::Consent, Char('i'), A::InFull, "what to mind before the first touch, in full", "in full"),
    bind(P::Consent, Char('n'), A::Decline, "no closing block today; that is noted", "no"),
    bind(P::Consent, Code(C::Esc), A::Back, "back to the plan", "back"),
    // The screen before hands-on work.
    bind(P::Screening, Char('n'), A::Answer(Answer::No), "no", "no"),
    bind(P::Screening, Char('y'), A::Answer(Answer::Yes), "yes", "yes"),
    bind(P::Screening, Char('u'), A::Answer(Answer::Unsure), "the client is unsure", "unsure"),
    bind(P::Screening, Char('a'), A::AllNo, "no to all that are left, read aloud", "all no"),
    bind(P::Screening, Code(C::Backspace), A::Erase, "take the last answer back", ""),
    bind(P::Screening, Char('c'), A::OpenClient, "the client's card", ""),
    bind(P::Screening, Code(C::Esc), A::Back, "back; only a yes that stopped is noted", "back"),
    bind(
        P::ScreeningOutcome,
        Char('d'),
        A::Cleared,
        "asked, and on the card: nothing is left open",
        "done, on the card",
    ),
    bind(
        P::ScreeningOutcome,
        Code(C::Enter),
        A::Choose,
        "note it as open; asked again next time",
        "leave open",
    ),
    bind(P::ScreeningOutcome, Char('c'), A::OpenClient, "the client's card, to note what was found", "card"),
    bind(
        P::ScreeningOutcome,
        Char('s'),
        A::SelfStretch,
        "no hands today: the client stretches alone",
        "self-stretch",
    ),
    bind(P::ScreeningOutcome, Code(C::Backspace), A::Erase, "take the answer back", ""),
    bind(P::ScreeningOutcome, Code(C::Esc), A::Back, "back; nothing is noted", ""),
    bind(P::ScreeningStop, Char('n'), A::Decline, "twice: no session; that is noted", "twice: no session"),
    bind(P::ScreeningStop, Code(C::Backspace), A::Erase, "take the answer back", "take back"),
    bind(P::ScreeningStop, Code(C::Esc), A::Erase, "take the answer back", ""),
    // Live: what must not be missed comes first, since a narrow footer shows the first ones.
    bind(P::Live, AnyDigit, A::Digit(0), "what the client answers, one to five", "level"),
    bind(P::Live, Char('p'), A::Pain, "stop this stretch for pain", "pain"),
    bind(P::Live, Char('w'), A::Withdraw, "consent is withdrawn: hands off, the block ends", "stop"),
    bind(P::Live, Char(' '), A::Pause, "stand still, or go on", "pause"),
    bind(P::Live, Char('s'), A::Skip, "skip to the next step", "skip"),
    bind(P::Live, Char('c'), A::NarrowConsent, "the client agrees to less than before", "less"),
    bind(P::Live, Char('m'), A::MinutesLeft, "so many minutes are left: plan the rest again", "min"),
    bind(P::Live, Char('i'), A::InFull, "all about this stretch and the cautions in force", "all about it"),
    bind(P::Live, Char('+'), A::Extend, "hold ten seconds longer", "longer"),
    bind(P::Live, Code(C::Enter), A::Choose, "begin the hold now", "begin hold"),
    bind(P::Live, Char('f'), A::Finish, "end the block here and review it", "finish"),
    bind(P::Live, Char('b'), A::StepBack, "back to the step before", ""),
    bind(P::Live, Code(C::Esc), A::Back, "stand still; once more leaves, and the block is offered again", ""),
    bind(P::LiveQuestion, Char(' '), A::Pause, "go on", "go on"),
    bind(P::LiveQuestion, Char('s'), A::SelfStretch, "go on with what the client can do alone", ""),
    bind(P::LiveQuestion, Char('w'), A::Withdraw, "consent is withdrawn: hands off, the block ends", ""),
    bind(P::LiveQuestion, Char('m'), A::NoMassage, "go on without the massage", ""),
    bind(P::LiveQuestion, Char('b'), A::MatBetween, "go on with a mat or towel between", ""),
    bind(P::LiveQuestion, Code(C::Esc), A::Back, "back, or leave", ""),
    bind(P::LiveMinutes, AnyDigit, A::Digit(0), "how many minutes are left", "minutes"),
    bind(P::LiveMinutes, Code(C::Enter), A::Choose, "plan the rest again", "plan again"),
    bind(P::LiveMinutes, Code(C::Esc), A::Back, "back to the block", "back"),
    bind(
        P::LiveMinutes,
        Char('w'),
        A::Withdraw,
        "consent is withdrawn: hands off, the block ends",
        "withdraw",
    ),
    bind(P::LiveMinutes, Char('p'), A::Pain, "stop this stretch for pain", "pain"),
    // Review.
    bind(P::Review, AnyDigit, A::Digit(0), "mend the level, one to five", "level"),
    bind(P::Review, Char('+'), A::More, "five seconds more", "seconds"),
    bind(P::Review, Char('-'), A::Less, "five seconds less", ""),
    bind(P::Review, Char('n'), A::Note, "write a remark", "remark"),
    bind(P::Review, Char('d'), A::Angle, "note the degrees that were measured", "degrees"),
    bind(P::Review, Char('e'), A::Elsewhere, "save the session in another folder, such as a stick's", ""),
    bind(P::Review, Char('u'), A::Undo, "take the last change back", "undo"),
    bind(P::Review, Char('a'), A::Begin, "ask consent again and go on with the rest", "go on"),
    bind(P::Review, Code(C::Enter), A::Save, "close the session", "close"),
    // History.
    bind(P::History, Code(C::Up), A::Up, "the stretch before", "stretch"),
    bind(P::History, Code(C::Down), A::Down, "the next stretch", ""),
    bind(
        P::History,
        Code(C::Tab),
        A::NextPart,
        "next time, levels, seconds, angles, sessions, weeks",
        "view",
    ),
    bind(
        P::History,
        Code(C::Enter),
        A::Choose,
        "plan for this client; after typing, keep first what is typed",
        "plan",
    ),
    bind(P::History, Ctrl('p'), A::OpenPlan, "plan for this client", ""),
    bind(P::History, Code(C::F(2)), A::OpenClient, "the client's card", ""),
    bind(P::HistorySessions, Code(C::Enter), A::Choose, "the chosen session, step by step", "open"),
    bind(P::HistorySessions, Code(C::Up), A::Up, "the session before", "session"),
    bind(P::HistorySessions, Code(C::Down), A::Down, "the session after", ""),
    bind(
        P::HistorySessions,
        Code(C::Tab),
        A::NextPart,
        "next time, levels, seconds, angles, sessions, weeks",
        "view",
    ),
    bind(P::HistorySessions, Ctrl('p'), A::OpenPlan, "plan for this client", "plan"),
    bind(P::HistorySessions, Code(C::F(2)), A::OpenClient, "the client's card", ""),
    bind(P::HistorySession, Code(C::Esc), A::Back, "back to the sessions", "back"),
    bind(P::HistorySession, Code(C::Left), A::Left, "the session before", "session before"),
    bind(P::HistorySession, Code(C::Right), A::Right, "the session after", "after"),
    bind(P::HistorySession, Code(C::Up), A::Up, "the step before", "step"),
    bind(P::HistorySession, Code(C::Down), A::Down, "the next step", ""),
    bind(P::HistorySession, Ctrl('p'), A::OpenPlan, "plan for this client", "plan"),
    // The card.
    bind(P::Client, Code(C::Enter), A::Choose, "on to the next line; on the last one, save", "next"),
    bind(P::Client, Char(' '), A::Toggle, "mark or unmark", "mark"),
    bind(P::Client, Ctrl('s'), A::Save, "save the card", "save"),
    bind(P::Client, Ctrl('p'), A::OpenPlan, "save and plan", "save and plan"),
    bind(P::Client, Code(C::Tab), A::NextPart, "the next line", ""),
    bind(P::CardCondition, Code(C::Enter), A::Choose, "on to the next line", "next"),
    bind(P::CardCondition, Code(C::Delete), A::Skip, "take the condition off", "take off"),
    bind(P::CardCondition, Ctrl('s'), A::Save, "save the card", "save"),
    bind(P::CardCondition, Ctrl('p'), A::OpenPlan, "save and plan", "save and plan"),
    bind(P::CardCondition, Code(C::Tab), A::NextPart, "the next line", ""),
    bind(P::CardSide, Code(C::Enter), A::Choose, "as it stands, and on to the next line", "next"),
    bind(P::CardSide, Code(C::Left), A::Left, "the left side", "left side"),
    bind(P::CardSide, Code(C::Right), A::Right, "the right side", "right side"),
    bind(P::CardSide, Char('l'), A::Left, "the left side", ""),
    bind(P::CardSide, Char('r'), A::Right, "the right side", ""),
    bind(P::CardSide, Char(' '), A::Toggle, "left, right, both sides in turn", ""),
    bind(P::CardSide, Code(C::Delete), A::Skip, "take the condition off", "take off"),
    bind(P::CardSide, Ctrl('s'), A::Save, "save the card", "save"),
    bind(P::CardSide, Ctrl('p'), A::OpenPlan, "save and plan", "save and plan"),
    bind(P::CardSide, Code(C::Tab), A::NextPart, "the next line", ""),
    bind(P::CardScreening, Code(C::Enter), A::Choose, "on to the next line", "next"),
    bind(
        P::CardScreening,
        Char('a'),
        A::Screen,
        "ask the questions before hands-on work",
        "ask the questions",
    ),
    bind(P::CardScreening, Ctrl('s'), A::Save, "save the card", "save"),
    bind(P::CardScreening, Ctrl('p'), A::OpenPlan, "save and plan", "save and plan"),
    bind(P::CardScreening, Code(C::Tab), A::NextPart, "the next line", ""),
    bind(P::CardText, Code(C::Enter), A::Choose, "on to the next line; on the last one, save", "next"),
    bind(P::CardText, Ctrl('s'), A::Save, "save the card", "save"),
    bind(P::CardText, Ctrl('p'), A::OpenPlan, "save and plan", "save and plan"),
    bind(P::CardText, Code(C::F(1)), A::Help, "show the keys of this screen", "help"),
    bind(P::CardText, Code(C::Tab), A::NextPart, "the next line", ""),
    bind(P::Help, Code(C::Down), A::Down, "more keys", "more"),
    bind(P::Help, Code(C::Up), A::Up, "back up", ""),
    bind(P::Help, Code(C::Esc), A::Back, "close", "close"),
    bind(P::Help, Char('?'), A::Back, "close", ""),
    bind(P::Overlay, Code(C::Enter), A::Choose, "do it", "do it"),
    bind(P::Overlay, Code(C::Esc), A::Back, "close", "close"),
];

impl Binding {
    /// The key as people read it in this mode.
    pub fn key_name(&self) -> String {
        match (self.key, self.mode) {
            (Key::AnyDigit, Mode::Live | Mode::Review) => "1-5".to_owned(),
            (Key::AnyDigit, Mode::Muscles) => "0-3".to_owned(),
            (key, _) => key.name(),
        }
    }
}

impl Key {
    /// Whether an event is this key.
    pub fn is(self, event: KeyEvent) -> bool {
        let control = event.modifiers.contains(KeyModifiers::CONTROL);
        let alt = event.modifiers.contains(KeyModifiers::ALT);
        match self {
            Self::Char(letter) => !control && !alt && event.code == KeyCode::Char(letter),
            Self::Ctrl(letter) => control && event.code == KeyCode::Char(letter),
            Self::Code(code) => event.code == code,
            Self::AnyDigit => {
                !control && !alt && matches!(event.code, KeyCode::Char(letter) if letter.is_ascii_digit())
            }
        }
    }

    /// The key as people read it.
    pub fn name(self) -> String {
        match self {
            Self::Char(' ') => "Space".to_owned(),
            Self::Char(letter) => letter.to_string(),
            Self::Ctrl(letter) => format!("Ctrl-{}", letter.to_ascii_uppercase()),
            Self::AnyDigit => "0-9".to_owned(),
            Self::Code(KeyCode::BackTab) => "Shift-Tab".to_owned(),
            Self::Code(KeyCode::F(number)) => format!("F{number}"),
            Self::Code(code) => format!("{code:?}"),
        }
    }
}

/// What a key means in a place; what is in no row of the table is typed.
pub fn resolve(mode: Mode, event: KeyEvent) -> Option<Action> {
    let free_text = mode.is_free_text();
    let found = [mode, Mode::Everywhere].into_iter().find_map(|mode| {
        TABLE
            .iter()
            .filter(|row| row.mode == mode && !(free_text && matches!(row.key, Key::Char(_))))
            .find(|row| row.key.is(event))
    });
    let typed = match event.code {
        KeyCode::Char(letter)
            if !event
                .modifiers
                .intersects(KeyModifiers::CONTROL | KeyModifiers::ALT | KeyModifiers::SUPER) =>
        {
            Some(letter)
        }
        _ => None,
    };
    match (found.map(|row| row.action), typed) {
        (Some(Action::Digit(_)), Some(letter)) => {
            letter.to_digit(10).and_then(|digit| u8::try_from(digit).ok()).map(Action::Digit)
        }
        (Some(action), _) => Some(action),
        (None, Some(letter)) => Some(Action::Type(letter)),
        (None, None) => None,
    }
}

/// The rows that hold in a mode: its own first, then those of everywhere that it does not replace.
pub fn rows(mode: Mode) -> Vec<&'static Binding> {
    let own: Vec<&Binding> = TABLE.iter().filter(|row| row.mode == mode).collect();
    let shared = TABLE
        .iter()
        .filter(|row| row.mode == Mode::Everywhere && mode != Mode::Everywhere)
        .filter(|row| !mode.is_free_text() || !matches!(row.key, Key::Char(_)))
        .filter(|row| !own.iter().any(|other| other.key == row.key));
    own.iter().copied().chain(shared).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_means_two_things_in_one_place() {
        for (index, row) in TABLE.iter().enumerate() {
            let twin = TABLE[..index].iter().find(|other| other.mode == row.mode && other.key == row.key);
            assert!(twin.is_none(), "{:?} {:?}", row.mode, row.key);
            assert!(!row.help.is_empty());
        }
    }

    #[test]
    fn letters_are_typed_where_no_row_claims_them() {
        let key = |letter| KeyEvent::new(KeyCode::Char(letter), KeyModifiers::NONE);
        assert_eq!(resolve(Mode::Day, key('p')), Some(Action::Type('p')));
        assert_eq!(resolve(Mode::Steps, key('p')), Some(Action::Pin));
        assert_eq!(resolve(Mode::Live, key('4')), Some(Action::Digit(4)));
        assert_eq!(resolve(Mode::Text, key('?')), Some(Action::Type('?')));
        assert_eq!(resolve(Mode::Day, KeyEvent::new(KeyCode::Char('x'), KeyModifiers::ALT)), None);
    }
}
