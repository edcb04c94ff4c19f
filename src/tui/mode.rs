//! Where a key is pressed: the modes, each of which has its keys.

/// Where a key is pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mode {
    /// On every screen.
    Everywhere,
    /// Where rows are gone through.
    List,
    /// Where something is looked for by its letters.
    Caret,
    /// Where a line of free text is typed.
    Text,
    /// Where there is a client.
    WithClient,
    /// The name of whoever is next.
    Day,
    /// The list of clients.
    DayList,
    /// What was trained, as it is typed.
    Trained,
    /// The steps of the plan.
    Steps,
    /// What was left out.
    LeftOut,
    /// What was left out, as it is looked for.
    LeftOutFind,
    /// The time of day at which the block is to end.
    EndAt,
    /// The question what to do about a block that was cut off.
    CutOff,
    /// The same, where Enter drops the block.
    CutOffDrop,
    /// Blocks to take again.
    Blocks,
    /// The name to keep a block by.
    BlockName,
    /// The question of consent.
    Consent,
    /// The health check.
    Health,
    /// What came of the health check, where more has to be asked.
    HealthFound,
    /// Who settled what the health check left open.
    HealthSettled,
    /// What came of the health check, where there is no session.
    HealthStop,
    /// Over every sheet of the block: pain and stop.
    Block,
    /// The block, while it runs.
    Live,
    /// The block, while it stands.
    Paused,
    /// After pain.
    Pain,
    /// After the client said stop.
    Stop,
    /// The client wants less.
    Less,
    /// What came out.
    Review,
    /// What came out, with a question about plans from now on.
    ReviewHabit,
    /// A line of the review, as it is typed.
    ReviewText,
    /// What the sessions of a client tell.
    History,
    /// A view of that behind the first.
    HistoryView,
    /// All of it in full.
    HistoryFull,
    /// A stretch, a muscle or days, as they are looked for.
    HistoryFind,
    /// One session of a client, step by step.
    HistorySession,
    /// The table of a plot of a client's quarters.
    HistoryTable,
    /// Over every line of a client's card.
    Card,
    /// A line of the card that is marked or not.
    CardChoice,
    /// A condition on the card.
    CardCondition,
    /// A condition on the card that has a side.
    CardSide,
    /// What the trainer said about plans for this client.
    CardHabit,
    /// The question whether a new client is one of that name who is there.
    CardNamesake,
    /// The line of the card that says when the health check was.
    CardHealth,
    /// A line of free text of the card.
    CardText,
    /// Over every line of what is asked of a walk-in.
    WalkIn,
    /// A condition of a walk-in.
    WalkInCondition,
    /// A condition of a walk-in that has a side.
    WalkInSide,
    /// A line of free text about a walk-in.
    WalkInText,
    /// The pages to write, over a screen of a client.
    Pages,
    /// A screen that its key opens by itself.
    On(Detour),
}

/// A screen that needs nothing but the one below: whatever its key is pressed on, it is opened over that.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Detour {
    /// The keys of another screen.
    Help,
    /// The commands of another screen.
    Commands,
    /// The buttons of a remote, as they are taught.
    TeachRemote,
    /// What is sore on the trainer.
    Sore,
}

impl Mode {
    /// Whether it is of something that lies over a screen and leaves that in sight.
    pub const fn is_overlay(self) -> bool {
        matches!(self, Self::Pages | Self::On(Detour::Help | Detour::Commands | Detour::TeachRemote))
    }

    /// Whether a block is under way, running or standing.
    pub const fn is_block(self) -> bool {
        matches!(self, Self::Live | Self::Paused | Self::Pain | Self::Stop | Self::Less)
    }
}

/// What letters do in a mode.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Letters {
    /// They are keys.
    Keys,
    /// They are typed, and so are digits and signs that are no key there.
    Words,
    /// Every character is typed.
    Text,
}
