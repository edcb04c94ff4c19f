//! What was changed on a card, a line each: by what stands there now, not by what was asked for.

use std::fmt::Display;

use chrono::NaiveDate;

use crate::body::Unit;
use crate::caution::{RecordedCondition, recorded_words};
use crate::client::{NotedTight, Profile, StandingConsent, Touch, UsualTime};

/// A line for each thing that differs between two states of a card.
pub(super) fn changes(before: &Profile, after: &Profile, today: NaiveDate) -> Vec<String> {
    let mut lines = Vec::new();
    if before.name != after.name {
        lines.push(format!("name: {} -> {}; the id stays {}", before.name, after.name, after.id));
    }
    let text = |text: &str| (!text.is_empty()).then(|| text.to_owned());
    let kilograms = |profile: &Profile| profile.mass.map(|mass| format!("{} kg", mass.get()));
    let times = |profile: &Profile| text(&times_words(&profile.usual_times));
    let guardian = |profile: &Profile| profile.guardian_on_file().map(|guardian| guardian.name.clone());
    lines.extend(
        [
            value("born", before.born, after.born),
            value("sex", before.sex, after.sex),
            value("mass", kilograms(before), kilograms(after)),
            value("contact", text(&before.contact), text(&after.contact)),
            value("usual times", times(before), times(after)),
            value("guardian", guardian(before), guardian(after)),
            value("archived from", before.archived, after.archived),
        ]
        .into_iter()
        .flatten(),
    );
    lines.extend(conditions(&before.conditions, &after.conditions, today));
    for touch in [Touch::HandsOn, Touch::Massage] {
        let answer = |profile: &Profile| profile.agreement(touch).map(answer_words);
        lines.extend(value(touch.id(), answer(before), answer(after)));
    }
    lines.extend(list("wants", &before.aims, &after.aims));
    lines.extend(tight(&before.tight, &after.tight));
    lines.extend(list("likes", &before.likes, &after.likes));
    lines.extend(list("dislikes", &before.dislikes, &after.dislikes));
    lines.extend(list("at home", &before.at_home, &after.at_home));
    lines.extend(value("remark", text(&before.note), text(&after.note)));
    lines
}

/// The words of usual times as they are typed.
pub(super) fn times_words(times: &[UsualTime]) -> String {
    times.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

pub(super) fn answer_words(answer: &StandingConsent) -> &'static str {
    if answer.given { "yes" } else { "no" }
}

fn value<T: Display + PartialEq>(what: &str, before: Option<T>, after: Option<T>) -> Option<String> {
    if before == after {
        return None;
    }
    let shown = |value: Option<T>| value.map_or_else(|| "none".to_owned(), |value| value.to_string());
    Some(format!("{what}: {} -> {}", shown(before), shown(after)))
}

fn list<T: Display + PartialEq>(what: &str, before: &[T], after: &[T]) -> Vec<String> {
    let added = after.iter().filter(|one| !before.contains(one)).map(|one| format!("{what}: {one} added"));
    let gone = before.iter().filter(|one| !after.contains(one)).map(|one| format!("{what}: {one} taken off"));
    added.chain(gone).collect()
}

fn conditions(before: &[RecordedCondition], after: &[RecordedCondition], today: NaiveDate) -> Vec<String> {
    let shown = |recorded: &RecordedCondition| match recorded.until {
        // What ends on a day to come is in force until then.
        Some(until) if until > today => format!("{}, until {until}", recorded_words(recorded, today)),
        _ => recorded_words(recorded, today),
    };
    let mut old: Vec<&RecordedCondition> = before.iter().filter(|one| !after.contains(one)).collect();
    let mut lines = Vec::new();
    for new in after.iter().filter(|one| !before.contains(one)) {
        match old.iter().position(|one| one.is_about_the_same(new)) {
            Some(place) => lines.push(format!("condition: {} -> {}", shown(old.remove(place)), shown(new))),
            None => lines.push(format!("condition: {} noted", shown(new))),
        }
    }
    lines.extend(old.into_iter().map(|one| format!("condition: {} taken off, as a mistake", shown(one))));
    lines
}

fn tight(before: &[NotedTight], after: &[NotedTight]) -> Vec<String> {
    let words = |unit: Unit| format!("{} {}", unit.muscle.plain_name(), unit.side);
    let changed = before.iter().zip(after).filter(|(old, new)| old != new).map(|(old, new)| match new.off {
        Some(off) if old.off.is_none() => format!("tight: {} no more, from {off} on", words(new.unit)),
        _ => format!("tight: {} looked at again and kept", words(new.unit)),
    });
    let noted = after.iter().skip(before.len()).map(|new| match new.on {
        Some(on) => format!("tight: {} noted on {on}", words(new.unit)),
        None => format!("tight: {} noted", words(new.unit)),
    });
    changed.chain(noted).collect()
}
