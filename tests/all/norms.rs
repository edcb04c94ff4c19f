//! Holds the joint norms against the arithmetic of their source, and the catalogue against the norms.

use matside::body::Evidence;
use matside::body::norm::{Norm, Sample, keys, largest_published, norms};
use matside::catalogue::Catalogue;

/// Rows of Soucie et al. 2011, Haemophilia 17:500-507, in the band that begins at that age.
fn soucie(from: f64) -> impl Iterator<Item = &'static Norm> {
    norms().iter().filter(move |norm| norm.source == "soucie2011" && norm.ages.0 == Some(from))
}

/// Its row about one motion in one sample, of 45 to 69 years.
fn of_the_band(motion: &str, sample: Sample) -> &'static Norm {
    let mut rows = soucie(45.0).filter(|norm| norm.motion == motion && norm.sample == sample);
    rows.next().expect("in the table")
}

fn spread_from_interval(norm: &Norm) -> f64 {
    let (low, high) = norm.interval.expect("the band has intervals");
    (high - low) / 2.0 / 1.96 * f64::from(norm.n.expect("the band has counts")).sqrt()
}

#[test]
fn the_main_table_is_whole() {
    // 11 motions of 2 sexes in 4 bands of age.
    assert_eq!(norms().iter().filter(|norm| norm.source == "soucie2011").count(), 88);
    assert!(soucie(45.0).all(|norm| norm.verified == Evidence::Seen));
}

#[test]
fn the_mean_is_the_middle_of_its_confidence_interval() {
    let mut held = 0;
    for norm in norms().iter().filter(|norm| norm.source == "soucie2011") {
        let Some((low, high)) = norm.interval else { continue };
        let middle = f64::midpoint(low, high);
        assert!((norm.mean - middle).abs() <= 0.1 + 1e-9, "{norm:?}");
        held += 1;
    }
    assert!(held >= 86, "{held} intervals");
}

#[test]
fn printed_spreads_agree_with_the_intervals() {
    // Worked: (high - low) / 2 / 1.96 * sqrt(n); printed 7.0, 5.2, 1.9, 5.0.
    for (motion, sample, worked) in [
        ("hip_extension", Sample::Female, 6.79),
        ("hip_extension", Sample::Male, 5.00),
        ("knee_extension", Sample::Male, 2.00),
        ("ankle_dorsiflexion", Sample::Male, 5.00),
    ] {
        let found = of_the_band(motion, sample);
        assert!((spread_from_interval(found) - worked).abs() < 0.01, "{motion}: {found:?}");
    }
    let mut held = 0;
    for norm in soucie(45.0) {
        let printed = norm.sd.expect("the band has spreads");
        // Both limits of the interval are rounded to 0.1, the spread too.
        let rounding = 0.1 / 2.0 / 1.96 * f64::from(norm.n.expect("a count")).sqrt() + 0.05;
        assert!((spread_from_interval(norm) - printed).abs() <= rounding + 1e-9, "{norm:?}");
        held += 1;
    }
    assert_eq!(held, 22);
}

#[test]
fn quartiles_follow_from_mean_and_spread() {
    // Quartiles printed by the CDC for 45 to 69 years (Soucie et al. 2011), women and men.
    let printed = [
        ("hip_extension", Sample::Female, 11.0, 21.0),
        ("hip_extension", Sample::Male, 10.0, 17.5),
        ("hip_flexion", Sample::Female, 124.5, 136.0),
        ("hip_flexion", Sample::Male, 122.3, 132.3),
        ("knee_flexion", Sample::Female, 134.0, 142.5),
        ("knee_flexion", Sample::Male, 128.5, 137.5),
        ("knee_extension", Sample::Female, 0.0, 2.5),
        ("knee_extension", Sample::Male, 0.0, 0.5),
        ("ankle_dorsiflexion", Sample::Female, 8.0, 14.5),
        ("ankle_dorsiflexion", Sample::Male, 8.5, 15.0),
        ("ankle_plantarflexion", Sample::Female, 50.5, 62.5),
        ("ankle_plantarflexion", Sample::Male, 43.0, 54.3),
        ("shoulder_flexion", Sample::Female, 163.5, 173.5),
        ("shoulder_flexion", Sample::Male, 159.0, 169.0),
    ];
    for (motion, sample, low, high) in printed {
        let found = of_the_band(motion, sample);
        let reach = 0.6745 * found.sd.expect("a spread");
        assert!((found.mean - reach - low).abs() <= 1.3, "{motion} {sample}: lower");
        assert!((found.mean + reach - high).abs() <= 1.3, "{motion} {sample}: upper");
    }
}

#[test]
fn everybody_of_the_study_is_counted() {
    // Its abstract: 674 people, 53.6 % female. The counts of the younger bands are from memory.
    let count = |sample, from: f64| {
        soucie(from).filter(|norm| norm.sample == sample).find_map(|norm| norm.n).unwrap_or_default()
    };
    let bands = [2.0, 9.0, 20.0, 45.0];
    let women: u32 = bands.iter().map(|from| count(Sample::Female, *from)).sum();
    let men: u32 = bands.iter().map(|from| count(Sample::Male, *from)).sum();
    if bands.iter().all(|from| count(Sample::Female, *from) > 0) {
        assert_eq!((women, men), (361, 313));
    }
    assert_eq!((count(Sample::Female, 45.0), count(Sample::Male, 45.0)), (123, 96));
}

#[test]
fn no_angle_of_the_catalogue_is_beyond_what_adults_reach_in_print() {
    // Half of the 5 degrees that one tester with a goniometer may err by on a leg: our line, no source.
    let error = 2.5;
    for stretch in Catalogue::built_in().stretches() {
        for form in &stretch.forms {
            for angle in form.motions.iter().chain(&form.other_side) {
                let Some(largest) = largest_published(angle.motion) else {
                    assert!(keys(angle.motion).is_empty(), "{}: no norm was read", angle.motion);
                    continue;
                };
                let degrees = f64::from(angle.degrees.get());
                let place = format!("{}/{}: {} {degrees}", stretch.id, form.id, angle.motion);
                assert!(
                    degrees <= largest.mean + error,
                    "{place} against {} ({})",
                    largest.mean,
                    largest.source
                );
            }
        }
    }
}

#[test]
fn every_source_key_of_the_data_is_explained() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/sources.md");
    let page = std::fs::read_to_string(path).expect("docs/sources.md is there");
    let norms = norms().iter().map(|norm| norm.source);
    let actions = matside::body::action::actions().iter().map(|action| action.source);
    let positions = matside::body::lengthening::lengthenings().iter().map(|row| row.source);
    for key in norms.chain(actions).chain(positions) {
        let explained = page.lines().any(|line| {
            line.strip_prefix(&format!("- **{key}** ")).is_some_and(|said| !said.trim().is_empty())
        });
        assert!(explained, "docs/sources.md does not explain {key}");
    }
}
