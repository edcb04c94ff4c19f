//! A session as a trainer writes it on paper: one line a report, `straight-leg-raise left 30s 4; felt fine`.

use crate::body::{Level, Seconds, Side};
use crate::catalogue::{Catalogue, Form, FormId, Method, Sides, Stretch, StretchId};
use crate::client::{Angle, Client, Ended, Report};
use crate::insight::AngleAsked;
use crate::names::UnknownName;
use crate::text::Safe;

/// The longest time under stretch that a line may claim: twenty minutes.
const LONGEST_S: u32 = 1200;

/// The side as it is written.
#[derive(Debug, Clone, Copy)]
enum Worked {
    One(Side),
    Both,
}

/// What the words of one line said.
#[derive(Debug, Default)]
struct Words {
    side: Option<Worked>,
    held: Option<Seconds>,
    level: Option<Level>,
    /// As it was written, since only the form tells which way it may go.
    angle: Option<String>,
    cycles: u8,
    ended: Option<Ended>,
}

/// Reads one line into its reports: two where a form that is done on each side was done on `both`.
///
/// The first word is a stretch, or `stretch/form`; without a form it is the one the client did last, else the
/// gentlest. The other words come in any order: a side, seconds (`30s`), the level (`4`), an angle (`71deg`), cycles
/// of contract-relax (`3x`), and `pain`, `skipped` or `withdrawn`. Words are parted by spaces, colons or commas.
///
/// # Errors
/// Names the word that is wrong and what would be right.
pub(super) fn reports(line: &str, catalogue: &Catalogue, client: &Client) -> Result<Vec<Report>, String> {
    let (line, note) = line.split_once(';').unwrap_or((line, ""));
    let mut words = line.split([' ', ':', ',', '\t']).filter(|word| !word.is_empty());
    let first = words.next().ok_or("a report is empty; write it like `straight-leg-raise left 30s 4`")?;
    let (stretch, form) = stretch_and_form(first, catalogue, client)?;
    let said = read(words)?;
    not_an_outcome(note)?;
    let ended = said.ended.unwrap_or(Ended::Done);
    let method = if said.cycles > 0 { Method::ContractRelax } else { Method::Static };
    let held = held(&said, form, ended)?;
    let angles = angles(&said, form)?;
    let report = |side| Report {
        method,
        cycles: said.cycles,
        level: said.level,
        angles: angles.clone(),
        ended,
        note: note.trim().to_owned(),
        ..Report::new(stretch.id.clone(), form.id.clone(), side, held)
    };
    let what = format!("`{}/{}`", stretch.id, form.id);
    match (form.sides, said.side) {
        (Sides::Each, Some(Worked::One(side))) => Ok(vec![report(Some(side))]),
        (Sides::Each, Some(Worked::Both)) => Ok(Side::ALL.iter().map(|&side| report(Some(side))).collect()),
        (Sides::Each, None) => {
            Err(format!("{what} is done on each side: add `left`, `right` or `both` (same result on both)"))
        }
        (Sides::Both, None | Some(Worked::Both)) => Ok(vec![report(None)]),
        (Sides::Both, Some(Worked::One(side))) => {
            Err(format!("{what} is done on both sides at once: leave out `{side}`"))
        }
    }
}

/// A report that was logged before, with what is said of it now: what is not said stays. A remark that is said takes the
/// place of the one before.
///
/// # Errors
/// Names the word that is wrong and what would be right.
pub(super) fn amended(report: &Report, line: &str, catalogue: &Catalogue) -> Result<Report, String> {
    let (line, note) = line.split_once(';').map_or((line, None), |(line, note)| (line, Some(note)));
    let said = read(line.split([' ', ':', ',', '\t']).filter(|word| !word.is_empty()))?;
    not_an_outcome(note.unwrap_or_default())?;
    let side = match said.side {
        Some(Worked::Both) => return Err("a report is of one side; log the other one by itself".to_owned()),
        Some(Worked::One(_)) if report.side.is_none() => {
            return Err("that was done on both sides at once".to_owned());
        }
        Some(Worked::One(side)) => Some(side),
        None => report.side,
    };
    let cycles = if said.cycles > 0 { said.cycles } else { report.cycles };
    Ok(Report {
        side,
        cycles,
        method: if cycles > 0 { Method::ContractRelax } else { Method::Static },
        held: said.held.unwrap_or(report.held),
        level: said.level.or(report.level),
        angles: if said.angle.is_some() {
            let unknown = || format!("the catalogue no longer has `{}`", report.stretch);
            let (_, form) = catalogue.form(&report.stretch, &report.form).ok_or_else(unknown)?;
            angles(&said, form)?
        } else {
            report.angles.clone()
        },
        ended: said.ended.unwrap_or(report.ended),
        note: note.map_or_else(|| report.note.clone(), |note| note.trim().to_owned()),
        ..report.clone()
    })
}

/// Refuses a remark that begins with the name of an outcome: behind the semicolon it would say nothing of how the hold
/// ended.
fn not_an_outcome(note: &str) -> Result<(), String> {
    let first = note.split_whitespace().next().unwrap_or_default();
    let word = first.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase();
    let outcome = Ended::ALL.iter().find(|ended| **ended != Ended::Done && ended.id() == word);
    outcome.map_or(Ok(()), |outcome| {
        Err(format!(
            "`{outcome}` behind the semicolon would only be a remark: write it before the semicolon if it ended so, or \
             begin the remark with another word"
        ))
    })
}

fn stretch_and_form<'a>(
    word: &str,
    catalogue: &'a Catalogue,
    client: &Client,
) -> Result<(&'a Stretch, &'a Form), String> {
    let (stretch_word, form_word) = word.split_once('/').map_or((word, None), |(a, b)| (a, Some(b)));
    let all = catalogue.stretches();
    let stretch =
        StretchId::new(stretch_word).ok().and_then(|id| catalogue.stretch(&id)).ok_or_else(|| {
            UnknownName::new("stretch", stretch_word, all.iter().map(|x| x.id.as_str())).to_string()
        })?;
    let form = match form_word {
        Some(word) => FormId::new(word).ok().and_then(|id| stretch.form(&id)).ok_or_else(|| {
            let forms = stretch.forms.iter().map(|form| form.id.as_str());
            format!("{}; it belongs to `{}`", UnknownName::new("form", word, forms.clone()), stretch.id)
                + &format!(", which has {}", forms.collect::<Vec<_>>().join(", "))
        })?,
        None => last_form(stretch, client)
            .or(stretch.forms.first())
            .ok_or_else(|| format!("`{}` has no form", stretch.id))?,
    };
    Ok((stretch, form))
}

fn last_form<'a>(stretch: &'a Stretch, client: &Client) -> Option<&'a Form> {
    let done = client.sessions.iter().rev().flat_map(|session| session.reports.values().rev());
    done.filter(|report| report.stretch == stretch.id).find_map(|report| stretch.form(&report.form))
}

fn read<'a>(words: impl Iterator<Item = &'a str>) -> Result<Words, String> {
    let mut said = Words::default();
    for word in words {
        let number = |ending: &str| word.strip_suffix(ending).and_then(|digits| digits.parse::<i64>().ok());
        if let Ok(side) = word.parse::<Side>() {
            once(&mut said.side, Worked::One(side), word)?;
        } else if word == "both" {
            once(&mut said.side, Worked::Both, word)?;
        } else if let Ok(ended) = word.parse::<Ended>() {
            once(&mut said.ended, ended, word)?;
        } else if let Some(seconds) = number("s") {
            let seconds = u32::try_from(seconds).ok().filter(|seconds| *seconds <= LONGEST_S);
            let seconds =
                seconds.ok_or_else(|| format!("`{word}`: a hold lasts 0 to {LONGEST_S} seconds"))?;
            once(&mut said.held, Seconds::new(seconds), word)?;
        } else if let Some((degrees, way)) = word.split_once("deg") {
            once(&mut said.angle, format!("{degrees} {way}"), word)?;
        } else if let Some(cycles) = number("x") {
            let cycles = u8::try_from(cycles).ok().filter(|cycles| (1..=10).contains(cycles));
            said.cycles = cycles.ok_or_else(|| format!("`{word}`: contract-relax takes 1 to 10 cycles"))?;
        } else if let Some(level) = number("") {
            let level =
                Level::new(level).map_err(|error| format!("{error}; seconds are written `{word}s`"))?;
            once(&mut said.level, level, word)?;
        } else {
            return Err(format!(
                "`{word}` is not understood; after the stretch come a side, seconds (`30s`), a level (`4`), an angle \
                 (`71deg`), cycles (`3x`), `pain`, `skipped` or `withdrawn`"
            ));
        }
    }
    Ok(said)
}

fn once<T>(place: &mut Option<T>, value: T, word: &str) -> Result<(), String> {
    match place.replace(value) {
        None => Ok(()),
        Some(_) => Err(format!("`{word}` says again what another word said already")),
    }
}

/// The angle that was measured, in the words of its form: a bare number where it goes one way only.
fn angles(said: &Words, form: &Form) -> Result<Vec<Angle>, String> {
    let Some(written) = &said.angle else { return Ok(Vec::new()) };
    let asked = AngleAsked::of(form).ok_or("nothing of this stretch is measured in degrees")?;
    let degrees = asked.read(written).map_err(|why| match asked.ways() {
        Some([more, less]) => format!("{why} ({}): `10deg-{more}` or `10deg-{less}`", asked.what()),
        None => why,
    })?;
    Ok(vec![Angle::new(degrees)])
}

/// Seconds under stretch: as said, or those of the form's dose with that many cycles.
fn held(said: &Words, form: &Form, ended: Ended) -> Result<Seconds, String> {
    let dosed = || form.contract_relax.iter().find(|dose| dose.cycles == said.cycles);
    match said.held {
        Some(held) => Ok(held),
        None if ended == Ended::Skipped => Ok(Seconds::ZERO),
        None => dosed()
            .map(|dose| dose.stretch * u32::from(dose.cycles))
            .ok_or_else(|| "say how long it was held, such as `30s`".to_owned()),
    }
}

/// A report as it is typed in `log`.
pub(super) fn line(report: &Report) -> String {
    let mut words = vec![format!("{}/{}", report.stretch, report.form)];
    words.extend(report.side.map(|side| side.to_string()));
    words.push(format!("{}s", report.held.get()));
    if report.cycles > 0 {
        words.push(format!("{}x", report.cycles));
    }
    words.extend(report.level.map(|level| level.to_string()));
    words.extend(report.angle().map(|angle| format!("{}deg", angle.get())));
    if report.ended != Ended::Done {
        words.push(report.ended.to_string());
    }
    let words = words.join(" ");
    if report.note.is_empty() { words } else { format!("{words}; {}", Safe::from_foreign(&report.note)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::Degrees;
    use crate::client::{ClientId, Profile};

    fn read_line(line: &str) -> Result<Vec<Report>, String> {
        let client = Client::new(Profile::new(ClientId::new("a").unwrap(), "A"), Vec::new());
        reports(line, Catalogue::built_in(), &client)
    }

    #[test]
    fn words_come_in_any_order_and_the_remark_last() {
        let [report] =
            &read_line("straight-leg-raise/hand-on-heel 4 left,30s 71deg; a bit stiff").unwrap()[..]
        else {
            panic!("one report")
        };
        assert_eq!(report.side, Some(Side::Left));
        assert_eq!(
            (report.held.get(), report.level, report.angle()),
            (30, Some(Level::AIM), Degrees::new(71).ok())
        );
        assert_eq!((report.method, report.note.as_str()), (Method::Static, "a bit stiff"));
    }

    #[test]
    fn both_on_a_form_of_each_side_is_two_reports_and_cycles_tell_the_seconds() {
        let both = read_line("straight-leg-raise/hand-on-heel both 3x 4").unwrap();
        let sides: Vec<_> = both.iter().map(|report| report.side).collect();
        assert_eq!(sides, [Some(Side::Left), Some(Side::Right)]);
        let dose = Catalogue::built_in()
            .form(&both[0].stretch, &both[0].form)
            .and_then(|(_, form)| form.contract_relax.iter().find(|dose| dose.cycles == 3).copied())
            .unwrap();
        assert_eq!(both[0].held, dose.stretch * 3);
        assert_eq!(both[0].method, Method::ContractRelax);
    }

    #[test]
    fn what_is_wrong_is_named_with_what_would_be_right() {
        for (line, said) in [
            ("", "a report is empty"),
            ("straight-leg-rase left 30s", "did you mean `straight-leg-raise`?"),
            ("straight-leg-raise/hand-on-heal left 30s", "did you mean `hand-on-heel`?"),
            ("straight-leg-raise 30s 4", "add `left`, `right` or `both`"),
            ("butterfly-on-back left 30s", "leave out `left`"),
            ("straight-leg-raise left 30s 6", "there is no six"),
            ("straight-leg-raise left 30", "seconds are written `30s`"),
            ("straight-leg-raise left", "say how long"),
            ("straight-leg-raise left 30s right", "says again"),
            ("straight-leg-raise left 99999s", "0 to 1200 seconds"),
            ("straight-leg-raise left 30s 4 hard", "`hard` is not understood"),
            ("straight-leg-raise left 30s 999deg", "angle is 999"),
            ("straight-leg-raise left 30s -5deg", "degrees from 0 up"),
            ("calf-heel-press/forearm-on-sole left 30s 5deg", "`10deg-past` or `10deg-short`"),
            ("straight-leg-raise left 300x", "1 to 10 cycles"),
        ] {
            let error = read_line(line).expect_err(line);
            assert!(error.contains(said), "{line}: {error}");
        }
    }

    #[test]
    fn a_skipped_stretch_was_held_for_no_time() {
        let skipped = read_line("straight-leg-raise left skipped").unwrap();
        assert_eq!((skipped[0].ended, skipped[0].held), (Ended::Skipped, Seconds::ZERO));
    }

    proptest::proptest! {
        #[test]
        fn no_line_is_a_reason_to_stumble(line in "\\PC{0,60}") {
            let _ = read_line(&line);
        }

        #[test]
        fn no_line_of_likely_words_is_a_reason_to_stumble(
            words in proptest::collection::vec("straight-leg-raise|/|left|both|[0-9]{1,20}(s|x|deg|)|;|pain|-1s", 0..8)
        ) {
            let _ = read_line(&words.join(" "));
        }
    }
}
