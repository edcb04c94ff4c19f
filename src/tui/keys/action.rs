//! What the trainer means by a key.

use crate::caution::screening::Answer;
use crate::tui::mode::Detour;
use crate::tui::remote::Button;

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
    /// Open a screen over this one.
    Open(Detour),
    /// Take the last change back.
    Undo,
    /// Write pages to print.
    WritePages,
    /// Leave the program; nothing is lost.
    Quit,
    /// A minute more.
    More,
    /// A minute less.
    Fewer,
    /// Trained as last time.
    Repeat,
    /// A whole block again: as last time, or one kept by name.
    Blocks,
    /// Keep the stretch in the plan.
    Keep,
    /// Leave out, or take off.
    TakeOff,
    /// Another version of the stretch.
    Version,
    /// A longer hold of the stretch.
    Longer,
    /// A shorter hold of the stretch.
    Shorter,
    /// What was left out and why.
    LeftOut,
    /// End at a time of day.
    EndAt,
    /// Ask for consent and begin.
    Begin,
    /// Stand still, or go on.
    Pause,
    /// Stop for pain.
    Pain,
    /// Hands off: the client said stop.
    Stop,
    /// The client wants less.
    Less,
    /// So many minutes are left, of who says it in words.
    MinutesLeft(u8),
    /// All about the step under way.
    InFull,
    /// To the next step.
    NextStep,
    /// To the step before.
    StepBefore,
    /// End the block here.
    Finish,
    /// A new client.
    NewClient,
    /// A walk-in, of whom no card is kept.
    WalkIn,
    /// The client's plan.
    OpenPlan,
    /// The client's history.
    OpenHistory,
    /// The client's card.
    OpenCard,
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
    /// Agrees: hands-on.
    Agree,
    /// By themselves, no hands.
    ByThemselves,
    /// Declines, or takes consent back.
    Decline,
    /// Massage at the end, yes or no.
    Massage,
    /// A towel between hand and client.
    Towel,
    /// The answer to a question of the health check.
    Answer(Answer),
    /// Look for something by its letters.
    Find,
    /// No to every question that is left.
    AllNo,
    /// A button of a remote.
    Remote(Button),
}
