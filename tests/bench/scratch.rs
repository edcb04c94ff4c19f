//! scratch
use std::time::Instant;
use matside::planner::{instance::Instance, search};
#[derive(serde::Deserialize)]
struct Row { name: String, optimum: Option<f64>, highs_s: f64, instance: Instance }
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let only = std::env::args().nth(2).filter(|a| !a.starts_with("--"));
    let rows: Vec<Row> = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let mut times = vec![]; let mut bad = 0; let mut ratios = vec![];
    for row in &rows {
        if only.as_ref().is_some_and(|o| !row.name.contains(o.as_str())) { continue; }
        let problem = row.instance.problem().unwrap();
        let t = Instant::now();
        let answer = search::solve(&problem, search::Effort { passes: 20000 });
        let ms = t.elapsed().as_secs_f64() * 1e3;
        times.push(ms); ratios.push(row.highs_s * 1e3 / ms);
        match (answer, row.optimum) {
            (Some(a), Some(o)) => {
                let ok = (a.value as f64 / 1e6 - o).abs() < 2e-6 && a.bound <= a.value;
                if !ok { bad += 1; }
                println!("{:12} {:8.2} ms passes {:5} nodes {:4} value {:.6} bound {:.6} opt {:.6} {}", row.name, ms, a.passes, a.nodes, a.value as f64/1e6, a.bound as f64/1e6, o, if ok {""} else {"BAD"});
            }
            (None, None) => println!("{} infeasible ok", row.name),
            (a, o) => { bad += 1; println!("{} MISMATCH {a:?} {o:?}", row.name) }
        }
    }
    times.sort_by(f64::total_cmp); ratios.sort_by(f64::total_cmp);
    let q = |v: &[f64], p: f64| v[((v.len() - 1) as f64 * p) as usize];
    println!("n {} bad {} median {:.2} p95 {:.2} p99 {:.2} worst {:.2} ratio median {:.0}", times.len(), bad, q(&times,0.5), q(&times,0.95), q(&times,0.99), q(&times,1.0), q(&ratios,0.5));
}
