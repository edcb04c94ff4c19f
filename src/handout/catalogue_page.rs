//! The catalogue as a page of documentation, made from the data.

use std::fmt::Write;

use crate::body::Muscle;
use crate::catalogue::{Catalogue, Form, Helper, Sides, Stretch};

use super::{picture, words};

/// Writes the page in Markdown: what is there for each muscle, then every stretch with its forms.
pub fn catalogue_page(catalogue: &Catalogue) -> String {
    let mut out = String::from(HEAD);
    let forms: usize = catalogue.stretches().iter().map(|stretch| stretch.forms.len()).sum();
    add(&mut out, &format!("{} stretches in {forms} forms.\n\n## By muscle\n", catalogue.stretches().len()));
    add(&mut out, "| muscle | stretches | forms | assisted | self | positions |");
    add(&mut out, "| --- | --- | --- | --- | --- | --- |");
    for &muscle in Muscle::ALL {
        add(&mut out, &muscle_row(catalogue, muscle));
    }
    add(&mut out, "\n## Stretches\n");
    for stretch in catalogue.stretches() {
        stretch_section(&mut out, stretch);
    }
    out
}

const HEAD: &str = "\
# The built-in stretches

This page is made from the data under `src/catalogue/`; change those files and run
`UPDATE_DOCS=1 cargo test pages` to make it again.

Angles are approximate, measured from the anatomical position; a negative extension is short of straight.
`same` and `opposite` are seen from the side that is worked on. Percentages say how much of a hold counts for
a muscle. Forms run from gentler to further. Pictures are drawn from these angles, the left side worked; orange is
the muscle that is lengthened, the arrow shows which way it goes further. The client's word ends every movement; pain
ends the stretch. None of this is medical advice, and no stretch here is claimed to prevent soreness or injury.

";

fn muscle_row(catalogue: &Catalogue, muscle: Muscle) -> String {
    let reached = |form: &&Form| form.targets.iter().any(|target| target.muscle == muscle);
    let stretches = catalogue
        .stretches()
        .iter()
        .filter(|stretch| stretch.forms.iter().any(|form| reached(&form)))
        .count();
    let forms: Vec<&Form> =
        catalogue.stretches().iter().flat_map(|stretch| &stretch.forms).filter(reached).collect();
    let with = |helper| forms.iter().filter(|form| form.helper == helper).count();
    let mut positions: Vec<_> = forms.iter().map(|form| form.position).collect();
    positions.sort_unstable();
    positions.dedup();
    let positions: Vec<&str> = positions.iter().map(|position| position.plain_name()).collect();
    format!(
        "| {} (`{muscle}`) | {stretches} | {} | {} | {} | {} |",
        muscle.plain_name(),
        forms.len(),
        with(Helper::Assisted),
        with(Helper::Client),
        positions.join(", ")
    )
}

fn stretch_section(out: &mut String, stretch: &Stretch) {
    add(out, &format!("### {} (`{}`)\n", stretch.name, stretch.id));
    for form in &stretch.forms {
        form_section(out, stretch, form);
    }
}

fn form_section(out: &mut String, stretch: &Stretch, form: &Form) {
    let sides = match form.sides {
        Sides::Each => "each side in turn",
        Sides::Both => "both sides at once",
    };
    let equipment: Vec<&str> = form.equipment.iter().map(|piece| piece.id()).collect();
    let needs =
        if equipment.is_empty() { String::new() } else { format!(", needs {}", equipment.join(" and ")) };
    let targets: Vec<String> = form
        .targets
        .iter()
        .map(|target| format!("{} {} %", target.muscle.plain_name(), target.share))
        .collect();
    add(
        out,
        &format!(
            "**{}** (`{}`): {}, {}, {sides}{needs}, set-up {} s{}.\n",
            form.name,
            form.id,
            form.position.plain_name(),
            form.helper.id(),
            form.setup.get(),
            if form.gentle { ", gentle" } else { "" }
        ),
    );
    let file = picture::file_name(&stretch.id, &form.id);
    add(out, &format!("![{}](figures/{file})\n", picture::alt(form)));
    add(out, &format!("- Reaches: {}", targets.join(", ")));
    add(out, &format!("- Joints: {}", words::motions(&form.motions)));
    if !form.other_side.is_empty() {
        add(out, &format!("- Other side: {}", words::motions(&form.other_side)));
    }
    let mut doses = Vec::new();
    if !form.holds.is_empty() {
        let holds: Vec<String> = form.holds.iter().map(|hold| hold.get().to_string()).collect();
        doses.push(format!("hold {} s", holds.join(", ")));
    }
    for dose in &form.contract_relax {
        doses.push(words::dose(crate::planner::Dose::ContractRelax(*dose)));
    }
    add(out, &format!("- Doses: {}", doses.join("; ")));
    let cues = &form.cues;
    add(out, &format!("- Say: {}", cues.say));
    if !cues.push.is_empty() {
        add(out, &format!("- To push, in contract-relax: {}", cues.push));
    }
    add(out, &format!("- Hands: {}", cues.hands));
    add(out, &format!("- Feet: {}", cues.feet));
    add(out, &format!("- Your spine: {}", cues.spine));
    add(out, &format!("- Watch: {}", cues.watch));
    add(out, &format!("- Mistakes: {}\n", cues.mistakes));
}

fn add(out: &mut String, line: &str) {
    writeln!(out, "{line}").expect("writing to a string cannot fail");
}
