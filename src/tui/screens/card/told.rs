//! Lines of the card that are typed in words, several to a line: when the client comes, what is tight, liked, at home.

use chrono::NaiveDate;

use crate::body::{Side, Unit, muscles_named};
use crate::catalogue::{Catalogue, Equipment, StretchId};
use crate::client::{Profile, Sex, UsualTime};
use crate::tui::text;

/// A line that is typed in words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum WordLine {
    Comes,
    Tight,
    Likes,
    Dislikes,
    AtHome,
    Contact,
    Sex,
}

impl WordLine {
    pub(super) const ALL: [Self; 7] =
        [Self::Comes, Self::Tight, Self::Likes, Self::Dislikes, Self::AtHome, Self::Contact, Self::Sex];

    pub(super) const fn label(self) -> &'static str {
        match self {
            Self::Comes => "comes",
            Self::Tight => "tight",
            Self::Likes => "likes",
            Self::Dislikes => "dislikes",
            Self::AtHome => "at home",
            Self::Contact => "contact",
            Self::Sex => "sex",
        }
    }

    pub(super) const fn hint(self) -> &'static str {
        match self {
            Self::Comes => "when, such as tue 18:30, fri",
            Self::Tight => "what and where, such as hamstrings left, calf both",
            Self::Likes => "stretches, such as figure four; butterfly",
            Self::Dislikes => "stretches that are planned seldom",
            Self::AtHome => "beside a floor: chair, strap, wall, bolster, table",
            Self::Contact => "how to reach the client, in words",
            Self::Sex => "female or male: published norms differ by it",
        }
    }

    /// What stands on the line.
    pub(super) fn of(self, profile: &Profile, catalogue: &Catalogue) -> String {
        let names = |stretches: &[StretchId]| {
            let name = |id: &StretchId| {
                catalogue.stretch(id).map_or_else(|| id.as_str().to_owned(), |stretch| stretch.name.clone())
            };
            stretches.iter().map(name).collect::<Vec<_>>().join("; ")
        };
        match self {
            Self::Comes => profile.usual_times.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
            Self::Tight => profile.tight_units().map(unit_words).collect::<Vec<_>>().join(", "),
            Self::Likes => names(&profile.likes),
            Self::Dislikes => names(&profile.dislikes),
            Self::AtHome => profile.at_home.iter().map(|thing| thing.id()).collect::<Vec<_>>().join(", "),
            Self::Contact => profile.contact.clone(),
            Self::Sex => profile.sex.map(|sex| sex.id().to_owned()).unwrap_or_default(),
        }
    }

    /// Puts what was typed onto the card; what was noted before gets its end and stays on record.
    ///
    /// # Errors
    /// Says what cannot be read, and how it is written.
    pub(super) fn put(
        self,
        typed: &str,
        profile: &mut Profile,
        catalogue: &Catalogue,
        today: NaiveDate,
    ) -> Result<(), String> {
        match self {
            Self::Comes => {
                let read = |piece: &str| piece.parse::<UsualTime>().map_err(|error| error.to_string());
                profile.usual_times = pieces(typed, &[',', ';']).map(read).collect::<Result<_, _>>()?;
            }
            Self::Tight => {
                let units = tight_units(typed)?;
                let gone: Vec<Unit> = profile.tight_units().filter(|unit| !units.contains(unit)).collect();
                for unit in gone {
                    profile.take_off_tight(unit, today);
                }
                for unit in units {
                    profile.note_tight(unit, today, "");
                }
            }
            Self::Likes | Self::Dislikes => {
                let likes = self == Self::Likes;
                let named = pieces(typed, &[';']).map(|piece| stretch_named(piece, catalogue));
                let named: Vec<StretchId> = named.collect::<Result<_, _>>()?;
                let known = if likes { &profile.likes } else { &profile.dislikes };
                let gone: Vec<StretchId> = known.iter().filter(|id| !named.contains(id)).cloned().collect();
                for id in &gone {
                    profile.set_liking(id, None);
                }
                for id in &named {
                    profile.set_liking(id, Some(likes));
                }
            }
            Self::AtHome => {
                let read = |piece: &str| piece.parse::<Equipment>().map_err(|error| error.to_string());
                profile.at_home = pieces(typed, &[',', ';']).map(read).collect::<Result<_, _>>()?;
            }
            Self::Contact => typed.trim().clone_into(&mut profile.contact),
            Self::Sex => {
                profile.sex = match typed.trim().to_lowercase().as_str() {
                    "" => None,
                    "f" | "female" => Some(Sex::Female),
                    "m" | "male" => Some(Sex::Male),
                    other => return Err(format!("`{other}`: female or male, or nothing")),
                };
            }
        }
        Ok(())
    }

    /// What stands beside the line: since when, or what the last word typed may mean.
    pub(super) fn beside(self, typed: &str, profile: Option<&Profile>, catalogue: &Catalogue) -> Vec<String> {
        match self {
            Self::Tight => profile.map(since_words).unwrap_or_default(),
            Self::Likes | Self::Dislikes => {
                let last = typed.rsplit(';').next().unwrap_or("").trim();
                let found = catalogue.stretches().iter().filter(|stretch| text::matches(&stretch.name, last));
                found.filter(|_| !last.is_empty()).map(|stretch| stretch.name.clone()).collect()
            }
            _ => Vec::new(),
        }
    }
}

/// What is noted as tight now, with the day of it.
fn since_words(profile: &Profile) -> Vec<String> {
    let noted = profile.tight.iter().filter(|noted| noted.off.is_none());
    let words = |noted: &crate::client::NotedTight| match noted.said_last() {
        Some(day) => format!("{}: noted {day}", unit_words(noted.unit)),
        None => format!("{}: nobody noted when", unit_words(noted.unit)),
    };
    noted.map(words).collect()
}

/// A muscle with its side; by its own name where the plain one stands for several.
fn unit_words(unit: Unit) -> String {
    let plain = unit.muscle.plain_name();
    let is_one = muscles_named(plain).is_ok_and(|named| named == [unit.muscle]);
    let name = if is_one { plain.to_owned() } else { unit.muscle.id().replace('-', " ") };
    format!("{name} {}", unit.side)
}

fn pieces<'a>(typed: &'a str, apart: &'static [char]) -> impl Iterator<Item = &'a str> {
    typed.split(apart).map(str::trim).filter(|piece| !piece.is_empty())
}

/// Muscles with their sides: `hamstrings left`, `left calf`, `calf both`.
fn tight_units(typed: &str) -> Result<Vec<Unit>, String> {
    let mut units = Vec::new();
    for piece in pieces(typed, &[',', ';']) {
        let words: Vec<&str> = piece.split([' ', ':']).filter(|word| !word.is_empty()).collect();
        let sides = |word: &str| match word.to_lowercase().as_str() {
            "left" | "l" => Some(vec![Side::Left]),
            "right" | "r" => Some(vec![Side::Right]),
            "both" => Some(Side::ALL.to_vec()),
            _ => None,
        };
        let (name, sides) = match words.as_slice() {
            [name @ .., last] if sides(last).is_some() => (name, sides(last)),
            [first, name @ ..] => (name, sides(first)),
            [] => continue,
        };
        let sides = sides.ok_or_else(|| format!("{piece}: left, right or both?"))?;
        let muscles = muscles_named(&name.join(" ")).map_err(|error| error.to_string())?;
        for unit in
            muscles.iter().flat_map(|muscle| sides.iter().map(|side| Unit { muscle: *muscle, side: *side }))
        {
            if !units.contains(&unit) {
                units.push(unit);
            }
        }
    }
    Ok(units)
}

/// The one stretch that is called so, or whose name has all that was typed.
fn stretch_named(word: &str, catalogue: &Catalogue) -> Result<StretchId, String> {
    let all = catalogue.stretches();
    let exact = all.iter().find(|stretch| {
        stretch.name.eq_ignore_ascii_case(word) || stretch.id.as_str().eq_ignore_ascii_case(word)
    });
    let mut near = all.iter().filter(|stretch| text::matches(&stretch.name, word));
    match (exact, near.next(), near.next()) {
        (Some(stretch), ..) | (None, Some(stretch), None) => Ok(stretch.id.clone()),
        (None, Some(one), Some(other)) => {
            Err(format!("`{word}` may be {} or {}: a few letters more", one.name, other.name))
        }
        (None, None, _) => Err(format!("no stretch is called `{word}`; several are parted by ;")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::Muscle;
    use crate::client::ClientId;

    fn profile() -> Profile {
        Profile::new(ClientId::new("nora").expect("an id"), "Nora")
    }

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a day")
    }

    #[test]
    fn a_line_reads_what_it_says() {
        let catalogue = Catalogue::built_in();
        let mut profile = profile();
        let today = day("2026-11-25");
        for (line, typed, said) in [
            (WordLine::Comes, "Tue 18:30, fri", "tue 18:30, fri"),
            (WordLine::Tight, "left hamstrings; soleus both", "hamstrings left, soleus left, soleus right"),
            (WordLine::AtHome, "strap, chair", "strap, chair"),
            (WordLine::Contact, " by the front desk ", "by the front desk"),
            (WordLine::Sex, "F", "female"),
        ] {
            line.put(typed, &mut profile, catalogue, today).expect(typed);
            assert_eq!(line.of(&profile, catalogue), said, "{typed}");
            line.put(said, &mut profile, catalogue, today).expect(said);
            assert_eq!(line.of(&profile, catalogue), said);
        }
        for (line, typed) in [
            (WordLine::Comes, "someday"),
            (WordLine::Tight, "hamstrings"),
            (WordLine::Tight, "zzz left"),
            (WordLine::Likes, "zzz"),
            (WordLine::AtHome, "trampoline"),
            (WordLine::Sex, "x"),
        ] {
            let before = profile.clone();
            assert!(line.put(typed, &mut profile, catalogue, today).is_err(), "{typed}");
            assert_eq!(profile, before, "{typed}");
        }
    }

    #[test]
    fn every_stretch_and_every_muscle_is_found_by_the_name_that_stands_on_the_card() {
        let catalogue = Catalogue::built_in();
        let today = day("2026-11-25");
        for stretch in catalogue.stretches() {
            let mut profile = profile();
            profile.likes.push(stretch.id.clone());
            let said = WordLine::Likes.of(&profile, catalogue);
            WordLine::Likes.put(&said, &mut profile, catalogue, today).expect(&said);
            assert_eq!(profile.likes, std::slice::from_ref(&stretch.id));
        }
        for muscle in Muscle::ALL {
            let unit = Unit { muscle: *muscle, side: Side::Left };
            assert_eq!(tight_units(&unit_words(unit)), Ok(vec![unit]));
        }
    }

    #[test]
    fn what_is_taken_off_as_tight_keeps_its_days() {
        let catalogue = Catalogue::built_in();
        let mut profile = profile();
        WordLine::Tight.put("calf left", &mut profile, catalogue, day("2026-10-01")).expect("a muscle");
        WordLine::Tight.put("calf right", &mut profile, catalogue, day("2026-11-01")).expect("a muscle");
        let days: Vec<_> = profile.tight.iter().map(|noted| (noted.on, noted.off)).collect();
        assert_eq!(days[0], (Some(day("2026-10-01")), Some(day("2026-11-01"))));
        assert!(
            since_words(&profile).iter().all(|words| words.contains("2026-11-01")),
            "{:?}",
            since_words(&profile)
        );
    }
}
