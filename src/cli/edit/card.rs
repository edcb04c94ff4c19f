//! A client's card as text.

use chrono::NaiveDate;

use crate::catalogue::Catalogue;
use crate::caution::recorded_words;
use crate::client::{Client, NotedTight, Touch};
use crate::failure::Failure;
use crate::insight::Learned;
use crate::text::{Safe, list};

use super::super::console::Console;
use super::super::health_check::screened_words;
use super::said::{answer_words, times_words};

/// Writes the card; what is not known has no line.
pub(super) fn write(
    client: &Client,
    catalogue: &Catalogue,
    today: NaiveDate,
    console: &mut Console,
) -> Result<(), Failure> {
    let profile = &client.profile;
    let texts = |things: Vec<String>| Some(list(&things)).filter(|text| !text.is_empty());
    let all = |things: &[_]| texts(things.iter().map(ToString::to_string).collect());
    let mut rows: Vec<(&str, Option<String>)> = vec![
        ("name", Some(profile.name.clone())),
        ("id", Some(profile.id.to_string())),
        ("born", profile.born.map(|born| born.to_string())),
        ("sex", profile.sex.map(|sex| sex.to_string())),
        ("mass", profile.mass.map(|mass| format!("{} kg", mass.get()))),
        ("contact", Some(profile.contact.clone())),
        ("usual", Some(times_words(&profile.usual_times))),
        ("archived", profile.archived.map(|from| format!("from {from}"))),
        ("guardian", profile.guardian_on_file().map(|known| format!("{}, from {}", known.name, known.on))),
        ("screened", Some(screened_words(profile, today))),
    ];
    rows.extend(profile.conditions.iter().map(|known| {
        let id = &known.id;
        ("condition", Some(format!("{id}: {}", recorded_words(known, today))))
    }));
    for touch in [Touch::HandsOn, Touch::Massage] {
        let answer = profile.agreement(touch).map(|answer| answer_words(answer).to_owned());
        rows.push((touch.id(), answer));
    }
    rows.push(("wants", texts(profile.aims.iter().map(ToString::to_string).collect())));
    let learned = Learned::of(client, catalogue, today);
    let is_due = |noted: &NotedTight| {
        learned.noted().iter().any(|verdict| verdict.unit == noted.unit && verdict.review.is_some())
    };
    rows.extend(profile.tight.iter().filter(|noted| noted.off.is_none()).map(|noted| {
        let said = noted.said_last().map(|on| format!(", said on {on}")).unwrap_or_default();
        let due = if is_due(noted) { "; to be looked at again" } else { "" };
        let (muscle, side) = (noted.unit.muscle, noted.unit.side);
        ("tight", Some(format!("{}:{side} ({}{said}){due}", muscle.id(), muscle.plain_name())))
    }));
    rows.push(("likes", all(&profile.likes)));
    rows.push(("dislikes", all(&profile.dislikes)));
    rows.push(("at home", texts(profile.at_home.iter().map(ToString::to_string).collect())));
    rows.push(("remark", Some(profile.note.clone())));
    for (label, text) in rows {
        if let Some(text) = text.filter(|text| !text.is_empty()) {
            writeln!(console.out, "{label:<10}{}", Safe::from_foreign(text))?;
        }
    }
    Ok(())
}
