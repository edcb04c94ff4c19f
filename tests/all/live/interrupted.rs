//! A block that was cut off, for every stretch of the catalogue: the other side is owed, and no more than that.

use chrono::{DateTime, FixedOffset, NaiveDate};
use matside::body::{Minutes, Seconds, Side};
use matside::catalogue::{Catalogue, Dose, Form, Method, Sides, Stretch};
use matside::caution::{Restrictions, parse_recorded};
use matside::client::{Consent, Ended, Report, Session};
use matside::session::Interrupted;

use super::plans::{hold, plan};

fn day() -> NaiveDate {
    "2026-11-25".parse().expect("a day")
}

fn free() -> Restrictions {
    Restrictions::of(&[], Some(30), day())
}

fn report(stretch: &Stretch, form: &Form, side: Option<Side>, held: Seconds, ended: Ended) -> Report {
    Report { ended, ..Report::new(stretch.id.clone(), form.id.clone(), side, held) }
}

fn session(reports: Vec<Report>) -> Session {
    let at: DateTime<FixedOffset> = "2026-11-25T18:45:00+00:00".parse().expect("a time");
    Session {
        reports: (1..).zip(reports).collect(),
        ..Session::new(at, Minutes::new(10).expect("in bounds"), Consent::HandsOn)
    }
}

fn rest(reports: Vec<Report>, left: u32, restrictions: &Restrictions) -> Interrupted {
    let catalogue = Catalogue::built_in();
    Interrupted::of(
        &session(reports),
        (Consent::HandsOn, &[]),
        Seconds::new(left),
        false,
        catalogue,
        restrictions,
    )
}

fn sides(rest: &Interrupted) -> Vec<(String, Option<Side>, u32)> {
    let steps = rest.before(None, Minutes::MAX).steps;
    steps.iter().map(|step| (step.stretch.to_string(), step.side, step.dose.held().get())).collect()
}

#[test]
fn the_other_side_of_every_stretch_is_owed_for_as_long() {
    let catalogue = Catalogue::built_in();
    for stretch in catalogue.stretches() {
        for form in stretch.forms.iter().filter(|form| !form.holds.is_empty()) {
            for &side in form.workings() {
                for &held in &form.holds {
                    let done = report(stretch, form, side, held, Ended::Done);
                    let rest = rest(vec![done], 600, &free());
                    let owed = match side {
                        Some(side) => vec![(stretch.id.to_string(), Some(side.other()), held.get())],
                        None => Vec::new(),
                    };
                    assert_eq!(sides(&rest), owed, "{} {}", stretch.id, form.id);
                    assert!(rest.progress().finished.contains(&stretch.id));
                    assert!(form.sides == Sides::Both || rest.progress().left < Seconds::new(600));
                }
            }
        }
    }
}

#[test]
fn nothing_is_owed_that_was_done_left_out_hurt_or_does_not_fit() {
    let catalogue = Catalogue::built_in();
    let stretch = catalogue
        .stretches()
        .iter()
        .find(|stretch| stretch.forms[0].sides == Sides::Each && !stretch.forms[0].holds.is_empty())
        .expect("one of them");
    let form = &stretch.forms[0];
    let held = form.holds[0];
    let of = |side, ended| report(stretch, form, Some(side), held, ended);
    let right = || of(Side::Right, Ended::Done);
    for other in [Ended::Done, Ended::Skipped, Ended::Withdrawn] {
        assert_eq!(rest(vec![right(), of(Side::Left, other)], 600, &free()).owes(), (0, 0), "{other}");
    }
    for ended in [Ended::Pain, Ended::Withdrawn] {
        assert_eq!(rest(vec![of(Side::Right, ended)], 600, &free()).owes(), (0, 0), "{ended}");
    }
    // Broken off after a while is owed on the other side; left out at once is not.
    for (held, owed) in [(0, 0), (4, 0), (5, 1), (13, 1)] {
        let skipped = report(stretch, form, Some(Side::Right), Seconds::new(held), Ended::Skipped);
        assert_eq!(rest(vec![skipped], 600, &free()).owes(), (owed, 0), "{held} s");
    }
    let needed = (form.setup + held).get();
    assert_eq!(rest(vec![right()], needed - 1, &free()).owes(), (0, 1));
    assert_eq!(rest(vec![right()], needed + 15, &free()).owes(), (1, 0));
}

#[test]
fn a_caution_of_today_rules_the_owed_side_out() {
    let catalogue = Catalogue::built_in();
    let condition = parse_recorded("shoulder-impingement:left").expect("a condition");
    let limited = Restrictions::of(&[condition], Some(30), day());
    let mut ruled_out = 0;
    for stretch in catalogue.stretches() {
        for form in stretch.forms.iter().filter(|form| form.sides == Sides::Each && !form.holds.is_empty()) {
            let done = report(stretch, form, Some(Side::Right), form.holds[0], Ended::Done);
            let owed = sides(&rest(vec![done], 600, &limited));
            match limited.permit(stretch, form, Some(Side::Left), Method::Static) {
                Err(_) => {
                    ruled_out += 1;
                    assert_eq!(owed, [], "{}", stretch.id);
                }
                Ok(way) => assert!(owed.iter().all(|owed| way.admits(Dose::Hold(Seconds::new(owed.2))))),
            }
        }
    }
    assert!(ruled_out > 0, "the condition limits something");
}

#[test]
fn what_hurt_before_is_not_planned_again_in_another_stretch() {
    let catalogue = Catalogue::built_in();
    let stretch = catalogue.stretches().iter().find(|stretch| !stretch.forms[0].targets.is_empty());
    let stretch = stretch.expect("all of them");
    let form = &stretch.forms[0];
    let side = form.workings()[0];
    let rest = rest(vec![report(stretch, form, side, Seconds::new(10), Ended::Pain)], 600, &free());
    for other in catalogue.stretches() {
        let reaches = other
            .forms
            .iter()
            .flat_map(|form| &form.targets)
            .any(|target| form.targets.iter().any(|sore| sore.muscle == target.muscle));
        assert_eq!(rest.progress().finished.contains(&other.id), reaches || other.id == stretch.id);
    }
}

#[test]
fn the_rest_follows_behind_what_is_owed() {
    let catalogue = Catalogue::built_in();
    let stretch = catalogue.stretches().iter().find(|stretch| stretch.forms[0].sides == Sides::Each);
    let stretch = stretch.expect("one of them");
    let form = &stretch.forms[0];
    let rest = rest(vec![report(stretch, form, Some(Side::Right), form.holds[0], Ended::Done)], 600, &free());
    let behind = plan(&[hold("chest", None, form.position, 0, 30)], 0);
    let whole = rest.before(Some(behind.clone()), Minutes::MAX);
    let taken = Seconds::new(600).saturating_sub(rest.progress().left);
    assert_eq!(whole.steps.len(), 2);
    assert_eq!(whole.steps[0].end, taken);
    assert_eq!(whole.steps[1].start, behind.steps[0].start + taken);
    assert_eq!((whole.total, whole.budget), (behind.total + taken, behind.budget + taken));
}
