//! How long the planner takes, on random problems of real size and on problems from the built-in catalogue.
//!
//! ```text
//! cargo bench --bench planner                  distributions, and the ratio to HiGHS's recorded times
//! cargo bench --bench planner -- --live        the same with HiGHS run now on the same machine (pip install highspy)
//! cargo bench --bench planner -- --each        a line for each problem as well
//! cargo bench --bench planner -- --emit        the random problems as JSON lines, for tests/reference/optima.py
//! cargo bench --bench planner -- --emit-days   those of the catalogue, shaken ones, and what is left in mid-block
//! ```
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::collections::BTreeMap;
use std::io::Write as _;
use std::ops::ControlFlow;
use std::process::{Command, Stdio};
use std::time::Instant;

use matside::handout::instance::Instance;
use matside::planner::search::{Budget, solve_watched};

#[path = "../all/asked.rs"]
#[expect(dead_code, reason = "what only tests ask for")]
mod asked;
#[path = "../all/days.rs"]
mod days;
#[path = "../all/random_instances.rs"]
mod random_instances;

/// Milliseconds of a frame of the screen.
const FRAME: f64 = 16.0;

fn main() {
    let asked = |flag: &str| std::env::args().any(|argument| argument == flag);
    let random: Vec<(String, Instance)> = (0..random_instances::COUNT)
        .map(random_instances::instance)
        .map(|named| (named.name, named.instance))
        .collect();
    let (days, rests) = (days::instances(), days::rests());
    let full = days::problems("full", days::full_days());
    let shaken: Vec<(String, Instance)> = days.iter().chain(&full).map(shaken).collect();
    if asked("--emit") {
        print!("{}", json_lines(&random));
        return;
    }
    if asked("--emit-days") {
        print!("{}{}{}{}", json_lines(&days), json_lines(&full), json_lines(&shaken), json_lines(&rests));
        return;
    }
    let live = asked("--live");
    let recorded = include_str!("../data/planner/optima.txt");
    let mut all = Vec::new();
    for (title, problems, together) in [
        ("random problems", &random, false),
        ("days of the catalogue", &days, true),
        ("24 muscles, 20 to 33 minutes", &full, true),
        ("both with every weight and cost moved by up to a tenth", &shaken, true),
        ("what is left of a day in mid-block", &rests, false),
    ] {
        let reference = if live { highs(problems) } else { recorded.to_owned() };
        let proof = report(title, problems, &reference, live);
        if together {
            all.extend(proof);
        }
    }
    println!("days, 24 muscles and moved weights together: {} problems", all.len());
    print_times(&mut all);
}

/// The same problem with every weight and cost moved by up to a tenth, in hundredths of a point, by seed.
fn shaken((name, instance): &(String, Instance)) -> (String, Instance) {
    let mut random = random_instances::Random(name.bytes().fold(3, |sum, byte| sum * 31 + u64::from(byte)));
    let mut moved =
        |value: f64| (value * (0.9 + f64::from(random.below(201)) / 1000.0) * 100.0).round() / 100.0;
    let mut shaken = instance.clone();
    shaken.units.iter_mut().for_each(|unit| unit.weight = moved(unit.weight));
    for choice in shaken.stretches.iter_mut().flat_map(|stretch| &mut stretch.choices) {
        choice.cost = moved(choice.cost);
    }
    (format!("shaken-{name}"), shaken)
}

fn json_lines(problems: &[(String, Instance)]) -> String {
    let line = |(name, instance): &(String, Instance)| {
        serde_json::json!({ "name": name, "instance": instance }).to_string() + "\n"
    };
    problems.iter().map(line).collect()
}

/// Name, optimum and seconds a line, by `HiGHS`.
fn highs(problems: &[(String, Instance)]) -> String {
    let child = Command::new("python3")
        .arg("tests/reference/optima.py")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn();
    let Ok(mut child) = child else { return String::new() };
    let text = json_lines(problems);
    let mut input = child.stdin.take();
    let writer = std::thread::spawn(move || input.as_mut().map(|input| input.write_all(text.as_bytes())));
    let output = child.wait_with_output();
    let _ = writer.join();
    output.map(|output| String::from_utf8_lossy(&output.stdout).into_owned()).unwrap_or_default()
}

/// The value below which so many hundredths of a sorted row lie.
fn at(sorted: &[f64], hundredths: usize) -> Option<f64> {
    sorted.get((sorted.len().saturating_sub(1)) * hundredths / 100).copied()
}

fn print_times(proof: &mut [f64]) {
    proof.sort_by(f64::total_cmp);
    let ms = |hundredths| at(proof, hundredths).unwrap_or_default();
    println!(
        "  answer and proof, ms: median {:.2}, 90th {:.2}, 95th {:.2}, 99th {:.2}, worst {:.2}",
        ms(50),
        ms(90),
        ms(95),
        ms(99),
        ms(100)
    );
}

/// Prints how long some problems take and how the answers compare; gives the milliseconds of each.
fn report(title: &str, problems: &[(String, Instance)], reference: &str, live: bool) -> Vec<f64> {
    let reference: BTreeMap<&str, (&str, f64)> = reference
        .lines()
        .filter_map(|line| {
            let mut words = line.split(' ');
            Some((words.next()?, (words.next()?, words.next()?.parse::<f64>().ok()? * 1e3)))
        })
        .collect();
    let (mut proof, mut near, mut ratios, mut wrong) = (Vec::new(), Vec::new(), Vec::new(), 0);
    for (name, instance) in problems {
        let (problem, step) = instance.problem().expect("generated problems are well formed");
        let mut rises: Vec<(f64, i64)> = Vec::new();
        let begin = Instant::now();
        let mut watch = |value: i64| {
            if rises.last().is_none_or(|rise| rise.1 < value) {
                rises.push((begin.elapsed().as_secs_f64() * 1e3, value));
            }
            ControlFlow::Continue(())
        };
        let answer = solve_watched(&problem, Budget::FULL, &mut watch);
        let ms = begin.elapsed().as_secs_f64() * 1e3;
        let value = answer.as_ref().map_or(0, |answer| answer.value);
        near.push(rises.iter().find(|rise| rise.1 * 1000 >= value * 995).map_or(ms, |rise| rise.0));
        proof.push(ms);
        if std::env::args().any(|argument| argument == "--each") {
            let work = answer.as_ref().map_or((0, 0), |answer| (answer.passes, answer.nodes));
            println!("  {name}: {ms:.2} ms, {} passes, {} nodes", work.0, work.1);
        }
        if let Some((optimum, highs_ms)) = reference.get(name.as_str()) {
            ratios.push(highs_ms / ms);
            let value = answer.as_ref().map_or("none".to_owned(), |answer| (answer.value * step).to_string());
            let proven = answer.as_ref().is_none_or(|answer| answer.bound <= answer.value);
            // HiGHS is a floating-point solver: a micro-point either way.
            let near = match (value.parse::<i64>(), optimum.parse::<i64>()) {
                (Ok(value), Ok(optimum)) => (value - optimum).abs() <= 1,
                _ => value == *optimum,
            };
            if !near || !proven {
                wrong += 1;
                println!("  {name}: {value} (proven {proven}) against {optimum}");
            }
        }
    }
    ratios.sort_by(f64::total_cmp);
    println!("{title}: {} problems", problems.len());
    print_times(&mut proof);
    near.sort_by(f64::total_cmp);
    let late = near.iter().filter(|ms| **ms > FRAME).count();
    println!(
        "  a plan within 0.5 % of the best, ms: median {:.2}, 99th {:.2}, worst {:.2}; over {FRAME}: {late}",
        at(&near, 50).unwrap_or_default(),
        at(&near, 99).unwrap_or_default(),
        at(&near, 100).unwrap_or_default()
    );
    if let Some(median) = at(&ratios, 50) {
        let how = if live { "run just now" } else { "as recorded" };
        println!("  HiGHS ({how}) takes {median:.0} times as long at the median; {wrong} answers differ");
    }
    proof
}
