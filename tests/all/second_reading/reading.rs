//! Conditions as their files write them: which limits hold for a record on a day, and which work they are about.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use chrono::{Days, NaiveDate};
use matside::body::Side;
use toml::{Table, Value};

use super::pose::{Worked, parts_at, rows, tables, word, words};

/// A condition of a client, as a test makes one up.
#[derive(Debug, Clone)]
pub(super) struct Recorded {
    pub(super) id: &'static str,
    pub(super) side: Option<Side>,
    pub(super) joint: Option<&'static str>,
    pub(super) muscle: Option<&'static str>,
    pub(super) week: Option<u32>,
    pub(super) days: Option<u64>,
    pub(super) cleared: bool,
}

impl Recorded {
    /// As it is typed.
    pub(super) fn typed(&self, today: NaiveDate) -> String {
        let since = self.days.and_then(|days| today.checked_sub_days(Days::new(days)));
        let parts = [
            Some(self.id.to_owned()),
            self.side.map(|side| side.to_string()),
            self.joint.or(self.muscle).map(str::to_owned),
            self.week.map(|week| format!("week={week}")),
            since.map(|since| format!("since={since}")),
            self.cleared.then(|| "cleared=surgeon".to_owned()),
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(":")
    }
}

/// What a limit does.
#[derive(Debug, Clone, Copy)]
pub(super) enum Bound {
    Never,
    Level(i64),
    Hold(i64),
    Push(i64, i64),
    Stretches(i64),
    NoMassage,
}

/// One limit of one condition.
#[derive(Debug, Clone)]
pub(super) struct Limit {
    table: Table,
    pub(super) bound: Bound,
    /// The line of the file.
    pub(super) text: String,
}

pub(super) struct Condition {
    pub(super) side_bound: bool,
    /// What a record has to name: `joint`, `muscle`, either, or nothing.
    site: String,
    stops: bool,
    everyone: bool,
    ages: Option<(i64, i64)>,
    limits: Vec<Limit>,
}

pub(super) struct Conditions(BTreeMap<String, Condition>);

/// Keys of a limit that say what it is about; each is understood below.
const ABOUT: [&str; 21] = [
    "over",
    "positions",
    "floor",
    "further",
    "method",
    "helper",
    "muscles",
    "joints",
    "recorded",
    "there",
    "beyond",
    "weight_on",
    "stands",
    "one_leg",
    "stride",
    "lain_on",
    "head_low",
    "pressed",
    "traction",
    "touched",
    "held",
];
const OTHERS: [&str; 15] = [
    "gripped",
    "level",
    "longest_hold_s",
    "longest_push_s",
    "most_cycles",
    "most_stretches",
    "no_massage",
    "barrier",
    "no_hands",
    "stop",
    "until_cleared",
    "from_week",
    "first_days",
    "from_age",
    "basis",
];

impl Condition {
    pub(super) fn wants_joint(&self) -> bool {
        self.site.contains("joint")
    }

    pub(super) fn wants_muscle(&self) -> bool {
        self.site == "muscle"
    }
}

impl Conditions {
    pub(super) fn get() -> &'static Self {
        static ALL: LazyLock<Conditions> = LazyLock::new(|| {
            let files = tables("caution");
            let all = files.iter().flat_map(|file| rows(file, "condition"));
            Conditions(all.map(|table| (word(table, "id").to_owned(), condition(table))).collect())
        });
        &ALL
    }

    pub(super) fn of(&self, id: &str) -> &Condition {
        &self.0[id]
    }

    pub(super) fn that_do_not_stop(&self) -> impl Iterator<Item = &str> {
        let open = self.0.iter().filter(|(_, condition)| !condition.stops && !condition.everyone);
        open.filter(|(_, condition)| condition.ages.is_none()).map(|(id, _)| id.as_str())
    }

    /// The limits that hold, each with its record; those of everybody and of the age have none.
    pub(super) fn in_force(&self, recorded: &[Recorded], age: u32) -> Vec<(Limit, Option<Recorded>)> {
        let age = i64::from(age);
        let by_itself = self.0.values().filter(|condition| {
            condition.everyone || condition.ages.is_some_and(|(from, to)| (from..=to).contains(&age))
        });
        let by_itself = by_itself.flat_map(|condition| condition.limits.iter().map(|limit| (limit, None)));
        let told = recorded.iter().flat_map(|record| {
            self.of(record.id).limits.iter().map(move |limit| (limit, Some(record.clone())))
        });
        by_itself
            .chain(told)
            .filter(|(limit, record)| limit.holds(record.as_ref(), age))
            .map(|(limit, record)| (limit.clone(), record))
            .collect()
    }
}

fn condition(table: &Table) -> Condition {
    let flag = |key: &str| table.get(key).and_then(Value::as_bool).unwrap_or_default();
    let all = rows(table, "limits");
    let ages = table.get("ages").and_then(Value::as_array).map(|ages| {
        let year = |at: usize| ages[at].as_integer().expect("a year");
        (year(0), year(1))
    });
    Condition {
        side_bound: flag("side_bound"),
        site: word(table, "site").to_owned(),
        stops: all.iter().any(|limit| limit.contains_key("stop")),
        everyone: flag("everyone"),
        ages,
        limits: all.into_iter().filter_map(limit).collect(),
    }
}

/// A limit on the work itself; where hands must be careful is the trainer's to mind, not a plan's.
fn limit(table: &Table) -> Option<Limit> {
    for key in table.keys() {
        assert!(ABOUT.contains(&key.as_str()) || OTHERS.contains(&key.as_str()), "the key `{key}` is new");
    }
    let number = |key: &str| table.get(key).and_then(Value::as_integer);
    let bound = if let Some(level) = number("level") {
        Bound::Level(level)
    } else if let Some(push) = number("longest_push_s") {
        Bound::Push(push, number("most_cycles").expect("cycles beside it"))
    } else if let Some(hold) = number("longest_hold_s") {
        Bound::Hold(hold)
    } else if let Some(most) = number("most_stretches") {
        Bound::Stretches(most)
    } else if table.contains_key("no_massage") {
        Bound::NoMassage
    } else if ["barrier", "no_hands", "stop"].iter().any(|key| table.contains_key(*key)) {
        return None;
    } else {
        Bound::Never
    };
    let text: Vec<String> = table.iter().map(|(key, value)| format!("{key} {value:?}")).collect();
    Some(Limit { table: table.clone(), bound, text: text.join("; ") })
}

impl Limit {
    /// Whether it holds for that record; what the record leaves open counts as holding.
    fn holds(&self, record: Option<&Recorded>, age: i64) -> bool {
        let number = |key: &str| self.table.get(key).and_then(Value::as_integer);
        let is_cleared = record.is_some_and(|record| record.cleared);
        let days = record.and_then(|record| record.days).map(|days| i64::try_from(days).expect("few"));
        let week = record.and_then(|record| record.week).map(i64::from);
        let over = days.zip(number("first_days")).is_some_and(|(days, first)| days >= first);
        let weeks_on = days.unwrap_or_default() / 7;
        let not_yet = week.zip(number("from_week")).is_some_and(|(week, from)| week + weeks_on < from);
        let too_young = number("from_age").is_some_and(|from| age < from);
        let is_lifted = self.table.contains_key("until_cleared") && is_cleared;
        !(is_lifted || over || not_yet || too_young)
    }

    /// Whether the work is what it is about: all that it says holds at once, on the side of the record.
    pub(super) fn fits(&self, work: &Worked<'_>, record: Option<&Recorded>) -> bool {
        let form = &work.form.table;
        let is = |key: &str| self.table.contains_key(key);
        let positions = words(&self.table, "positions");
        if !positions.is_empty() && !positions.contains(&word(form, "position"))
            || is("floor") && !work.is_on_floor()
            || is("further") && !work.form.is_further
            || is("method") && word(&self.table, "method") != work.method
            || is("helper") && word(&self.table, "helper") != word(form, "helper")
        {
            return false;
        }
        let sides = match record.and_then(|record| record.side) {
            Some(side) => vec![side],
            None => vec![Side::Left, Side::Right],
        };
        sides.into_iter().any(|side| self.fits_on(work, record, side))
    }

    fn fits_on(&self, work: &Worked<'_>, record: Option<&Recorded>, side: Side) -> bool {
        let over = self.table.get("over").and_then(Value::as_table).cloned().unwrap_or_default();
        let beyond = over
            .iter()
            .all(|(motion, degrees)| work.goes_beyond(motion, degrees.as_integer().expect("degrees"), side));
        let (muscles, joints) = (words(&self.table, "muscles"), words(&self.table, "joints"));
        let reached = muscles.is_empty() && joints.is_empty()
            || work.targets(&muscles, side)
            || joints.iter().any(|joint| work.stretches(joint, side));
        let loads = self.loads();
        let loaded = loads.is_empty() || loads.iter().any(|load| work.loads(load, side));
        beyond && reached && loaded && self.is_there(work, record, side)
    }

    /// The loads that it names, any of which counts.
    fn loads(&self) -> Vec<String> {
        let listed = ["weight_on", "pressed", "traction", "touched", "held", "gripped"];
        let plain = ["stands", "one_leg", "stride", "lain_on", "head_low"];
        let mut all: Vec<String> = listed
            .iter()
            .flat_map(|key| words(&self.table, key).into_iter().map(move |part| format!("{key} {part}")))
            .collect();
        all.extend(plain.iter().filter(|key| self.table.contains_key(**key)).map(|key| (*key).to_owned()));
        all
    }

    /// Whether it is done at the place on record.
    fn is_there(&self, work: &Worked<'_>, record: Option<&Recorded>, side: Side) -> bool {
        let there = match word(&self.table, "there") {
            "" if self.table.contains_key("recorded") => "reached",
            "" => return true,
            there => there,
        };
        let Some(record) = record else { return true };
        let at = |kind: &str, place: &str| {
            parts_at(place).iter().any(|part| work.loads(&format!("{kind} {part}"), side))
        };
        match (there, record.joint, record.muscle) {
            ("reached", Some(joint), _) => work.stretches(joint, side),
            ("reached", _, Some(muscle)) => work.targets(&[muscle], side),
            ("pulled", Some(joint), _) => work.loads(&format!("traction {joint}"), side),
            ("held" | "loaded", Some(place), _) | ("held" | "loaded", None, Some(place)) => at("held", place),
            ("touched", Some(place), _) | ("touched", None, Some(place)) => at("touched", place),
            ("stood-on", Some("hip" | "knee" | "ankle"), _) => work.loads("stands", side),
            ("lain-on", Some("hip" | "shoulder"), _) => work.loads("lain_on", side),
            _ => false,
        }
    }
}
