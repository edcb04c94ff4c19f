//! The names of keys, their order, and how a session's block begins: what reading, writing and merging agree about.

/// The keys that lead to a value; for a row, its identity in place of a key.
pub(crate) type Path = Vec<String>;

/// The version of a client's file that this program writes, and the highest that it reads.
pub(crate) const VERSION: i64 = 2;

/// The same of the trainer's settings and of the file that keeps the key.
pub(crate) const TRAINER_VERSION: i64 = 1;

/// The header of a session, as it stands on a line of its own.
pub(crate) const SESSION_HEADER: &str = "[[session]]";

/// Plain keys at the top of a client's file, in the order in which they are written.
pub(crate) const PROFILE_ORDER: &[&str] = &[
    "version", "name", "born", "sex", "mass_kg", "contact", "archived", "aims", "likes", "dislikes", "home",
    "times", "note", "change", "clash",
];

/// Keys at the top that hold a list of words, in no order that matters.
pub(crate) const LISTS: &[&str] = &["aims", "likes", "dislikes", "home", "times"];

/// Dated rows of a client's file.
pub(crate) struct RowShape {
    /// The key under which they stand.
    pub(crate) name: &'static str,
    /// The keys of one row, in the order in which they are written.
    pub(crate) keys: &'static [&'static str],
    /// Those that say which row it is. What else it says can change.
    pub(crate) identity: &'static [&'static str],
}

/// Every kind of dated rows, in the order in which they are written.
pub(crate) const ROWS: &[RowShape] = &[
    RowShape { name: "tight", keys: &["unit", "on", "kept", "off", "by"], identity: &["unit", "on"] },
    RowShape {
        name: "screening",
        keys: &["on", "by", "answers", "open", "note", "off"],
        identity: &["on", "by", "answers", "note"],
    },
    RowShape { name: "guardian", keys: &["name", "on", "off", "by"], identity: &["name", "on"] },
    RowShape {
        name: "agreement",
        keys: &["to", "given", "on", "off", "by", "note"],
        identity: &["to", "given", "on"],
    },
    RowShape {
        name: "habit",
        keys: &["kind", "stretch", "form", "on", "agreed", "off", "by"],
        identity: &["kind", "stretch", "form", "on", "agreed"],
    },
    RowShape {
        name: "pain",
        keys: &["stretch", "side", "on", "still_sore", "cleared_by", "by", "note", "off"],
        identity: &["stretch", "side", "on", "still_sore", "cleared_by"],
    },
    RowShape {
        name: "condition",
        keys: &[
            "id",
            "side",
            "muscle",
            "joint",
            "since",
            "due",
            "week",
            "cleared_by",
            "cleared_on",
            "until",
            "by",
            "note",
        ],
        identity: &["id", "side", "muscle", "joint"],
    },
];

/// Keys of a session, in the order in which they are written.
pub(crate) const SESSION_ORDER: &[&str] = &[
    "at",
    "minutes",
    "by",
    "trained",
    "consent",
    "narrowed",
    "correction",
    "report",
    "note",
    "closed",
    "clash",
    "change",
    "taken_back",
];

/// Keys of a report, in the order in which they are written.
pub(crate) const REPORT_ORDER: &[&str] = &[
    "stretch",
    "form",
    "side",
    "method",
    "cycles",
    "held_s",
    "planned_s",
    "planned_cycles",
    "aim",
    "level",
    "angle_deg",
    "angles",
    "ended",
    "sign",
    "note",
    "taken_back",
];

/// Keys of a report that say what was done; if they differ, it is not the same hold.
pub(crate) const REPORT_IDENTITY: &[&str] = &["stretch", "form", "side"];

/// Keys of what was taken out of the consent.
pub(crate) const NARROWED_ORDER: &[&str] = &["what", "at", "lifted"];

/// Keys of what a trainer did to a plan.
pub(crate) const CORRECTION_ORDER: &[&str] = &["did", "stretch", "form", "instead_of"];

/// Keys of what a health check left open.
pub(crate) const OPEN_ORDER: &[&str] = &["what", "cleared_by", "cleared_on", "cleared_note"];
