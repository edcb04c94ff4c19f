//! How long a picture takes: a pose with its view, the same in cells of three sizes, as SVG, and the body map.
//!
//! ```text
//! cargo bench --bench figure
//! ```
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use matside::body::Side;
use matside::catalogue::{Catalogue, Form};
use matside::figure::{Blocks, BodyMap, Facing, Mark, Sketch, draw, svg};

/// How often each form is drawn; the quickest counts, as the others measure the machine.
const ROUNDS: usize = 7;

fn main() {
    let forms: Vec<&Form> =
        Catalogue::built_in().stretches().iter().flat_map(|stretch| &stretch.forms).collect();
    println!("{} forms, {ROUNDS} rounds, the quickest of each form", forms.len());
    report("pose and view", &forms, |form| {
        black_box(Sketch::of(form));
    });
    for extent in [(28, 8), (36, 12), (78, 22)] {
        for (name, blocks) in [("quadrants", Blocks::Quadrants), ("outlines", Blocks::Outlines)] {
            report(&format!("{}x{} {name}", extent.0, extent.1), &forms, |form| {
                black_box(draw(form, Some(Side::Left), extent, blocks));
            });
        }
    }
    report("SVG", &forms, |form| {
        black_box(svg(form, Some(Side::Left), "title"));
    });
    for extent in [(11, 11), (27, 30)] {
        let quickest = |work: &dyn Fn()| (0..ROUNDS).map(|_| timed(work)).min().unwrap_or_default();
        let map = BodyMap::of(Facing::Front, extent, Blocks::Quadrants);
        let laid = quickest(&|| drop(black_box(BodyMap::of(Facing::Front, extent, Blocks::Quadrants))));
        let marked = quickest(&|| drop(black_box(map.cells(|_| Mark::Done))));
        println!("body map {}x{}: laid out in {laid:?}, marked in {marked:?}", extent.0, extent.1);
    }
}

fn timed(work: &dyn Fn()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

/// The median and the slowest of all forms.
fn report(what: &str, forms: &[&Form], work: impl Fn(&Form)) {
    let mut times: Vec<Duration> = forms
        .iter()
        .map(|form| (0..ROUNDS).map(|_| timed(&|| work(form))).min().unwrap_or_default())
        .collect();
    times.sort_unstable();
    let median = times.get(times.len() / 2).copied().unwrap_or_default();
    println!("{what}: median {median:?}, slowest {:?}", times.last().copied().unwrap_or_default());
}
