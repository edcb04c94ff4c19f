//! A measured angle against a published norm: the same test or silence.

use matside::client::{Birth, Sex};
use matside::insight::norms::NormBand;

use super::*;

fn born(year: i32) -> Birth {
    Birth::in_year(year).expect("a year")
}

/// A client of 40 whose straight-leg raise was measured on both sides on so many days.
fn raised(sex: Option<Sex>, degrees: i64, days: u64) -> Client {
    let mut client =
        client((0..days).map(|index| session(10 * (days - 1 - index), measured(degrees, degrees))));
    client.profile.sex = sex;
    client.profile.born = Some(born(1986));
    client
}

fn band(client: &Client) -> Option<NormBand> {
    learned(client).norms().first().and_then(|norm| norm.band)
}

#[test]
fn low_for_age_is_below_the_tenth_percentile_by_more_than_measuring() {
    // Youdas et al. 2005, J Orthop Sports Phys Ther 35:246-252 (from memory): women 76.3 (9.5), men 68.5 (6.8); the
    // tenth percentile is the mean less 1.2816 standard deviations: 64.1 and 59.8. With 1.645 x SEM / sqrt(values)
    // off, both sides on one, two, three days: women 59.2, 60.7, 61.3; men 56.3, 57.3, 57.8.
    for (sex, lines) in [(Sex::Female, [59.2, 60.7, 61.3]), (Sex::Male, [56.3, 57.3, 57.8])] {
        for (days, line) in (1..).zip(lines) {
            // The last whole degree below the line.
            let highest =
                (1..100).take_while(|&degrees| f64::from(degrees) < line).count().try_into().expect("small");
            assert_eq!(
                band(&raised(Some(sex), highest, days)),
                Some(NormBand::Low),
                "{sex} {highest}, {days} days"
            );
            assert_eq!(
                band(&raised(Some(sex), highest + 1, days)),
                Some(NormBand::BelowTenth),
                "{sex} {}, {days} days",
                highest + 1
            );
        }
    }
}

#[test]
fn otherwise_only_the_band_is_known() {
    // Women: 64.1 is the tenth percentile, 69.9 the twenty-fifth, 82.7 the seventy-fifth, 88.5 the ninetieth.
    for (degrees, expected) in [
        (65, NormBand::BelowQuarter),
        (69, NormBand::BelowQuarter),
        (70, NormBand::Middle),
        (82, NormBand::Middle),
        (83, NormBand::AboveThreeQuarters),
        (88, NormBand::AboveThreeQuarters),
        (89, NormBand::AboveNinetieth),
    ] {
        assert_eq!(band(&raised(Some(Sex::Female), degrees, 1)), Some(expected), "{degrees}");
    }
    assert!(sentences(&raised(Some(Sex::Female), 65, 1)).is_empty());
}

#[test]
fn a_low_test_is_one_line_with_its_source_and_how_many_have_one() {
    assert_eq!(
        sentences(&raised(Some(Sex::Female), 58, 1)),
        [
            "Straight-leg raise: 58 degrees, low for women (about 1 in 10 are lower; Youdas 2005, from memory). 1 test \
          compared; about 1 in 20 healthy people has one so low."
        ]
    );
    // It changes a plan only where the client wants range.
    let mut client = raised(Some(Sex::Female), 50, 2);
    let left = unit(HAMSTRINGS, Side::Left);
    assert_eq!(learned(&client).range_points(left), 0);
    client.profile.aims.push(matside::client::Aim::Range);
    assert_eq!(learned(&client).range_points(left), 1);
}

#[test]
fn another_test_another_age_or_no_sex_is_silence() {
    assert!(learned(&raised(None, 40, 2)).norms().is_empty(), "women and men differ by 8 degrees");
    let mut old = raised(Some(Sex::Female), 40, 2);
    old.profile.born = Some(born(1944));
    let norms = learned(&old).norms().to_vec();
    assert_eq!((norms[0].norm, norms[0].band), (None, None), "above the last age that was measured");
    let forms = [
        ("straight-leg-raise", "other-knee-bent"),
        ("straight-leg-raise", "strap-round-foot"),
        ("leg-over-table-edge", "thigh-eased-down"),
    ];
    for form in forms {
        let mut client = client([session(3, measured(20, 20).map(|said| said.with(form)))]);
        client.profile.sex = Some(Sex::Female);
        client.profile.born = Some(born(1986));
        assert!(learned(&client).norms().is_empty(), "{form:?}");
    }
}

#[test]
fn old_measurements_are_not_held_against_a_norm() {
    let mut client = raised(Some(Sex::Female), 40, 1);
    client.sessions[0].at = moment(days_ago(120));
    assert_eq!(band(&client), Some(NormBand::Low));
    client.sessions[0].at = moment(days_ago(121));
    assert_eq!(band(&client), None);
}

#[test]
fn the_lowered_thigh_is_counted_below_the_horizontal() {
    // Ferber et al. 2010, J Athl Train 45:344-348: Ober -24.59 (7.27), below the horizontal; athletes, no ages. Tenth
    // percentile 15.27; the error of a leg is 14 / 2.77 = 5.05 (Hancock et al. 2018), so 15.27 - 1.645 x 5.05 / sqrt 2
    // = 9.39.
    let lowered = |degrees| {
        let form = ("side-lying-outer-hip", "thigh-lowered-behind");
        client([session(3, measured(degrees, degrees).map(|said| said.with(form)))])
    };
    assert_eq!(band(&lowered(9)), Some(NormBand::Low));
    assert_eq!(band(&lowered(10)), Some(NormBand::BelowTenth));
    assert_eq!(band(&lowered(25)), Some(NormBand::Middle));
}

#[test]
fn where_the_sides_differ_the_tighter_one_speaks_alone() {
    let mut client = client((0..4).map(|index| session(10 * (3 - index), measured(50, 80))));
    client.profile.sex = Some(Sex::Female);
    client.profile.born = Some(born(1986));
    let norms = learned(&client).norms().to_vec();
    assert_eq!((norms[0].side, norms[0].value, norms[0].values), (Some(Side::Left), 500, 3));
}
