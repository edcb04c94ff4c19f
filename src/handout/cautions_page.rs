//! The reference page of all conditions, as Markdown; docs/cautions.md is this text.

use std::fmt::Write as _;

use crate::caution::screening::{CONSENT, TODAY, Weight, questions};
use crate::caution::signs::signs;
use crate::caution::{Chapter, Condition, Conditions};

/// Where the massage finish keeps to (rules of our own, made from the cases in NECKMASS).
const MASSAGE_RULES: [&str; 5] = [
    "Hands on the back of the neck, the top of the shoulders and between the shoulder blades only.",
    "Nothing in front of the muscle at the side of the neck, nothing on the throat.",
    "No percussion tool on the neck; no twisting or pulling while massaging.",
    "Light to moderate pressure.",
    "A new bad headache or neck pain, dizziness or double vision in the next days: medical help at once.",
];

const OPENING: &str = "\
# Cautions

Made from the program's data; a test keeps it current, and `UPDATE_DOCS=1 cargo test pages` writes it anew.

These are the usual cautions for hands-on stretching, in plain words. They are not medical advice. A trainer does not
diagnose: every condition starts from what the client, or the client's clinician, has said. The client's own clinician
comes first, in both directions, and so do local law and the limits of a licence. `docs/evidence.md` says what the
source keys stand for, what is recalled rather than read, and where sources disagree.

How to read it: a limit on a joint or muscle holds on the side that is on record; where no side is on record it holds on
both. Motions joined by \"with\" are forbidden only together. \"Until cleared\" ends when a clinician's word is on record.
What a record leaves open (day, week, place) is taken as the stricter.

Each limit says of itself how it is known: *seen*, it stands so in a source that was read; *memory*, recalled; *practice*,
a rule of the trade without a source; *judgement*, our own figure or line, drawn from what the sources say in words;
*disputed*, sources that were read disagree. On the card `{hip}` stands for \"Left hip\" and the like, and what is said
there may depend on week, days, age and clearance.
";

/// The page, chapter by chapter.
pub fn cautions_page() -> String {
    let mut page = String::from(OPENING);
    for &chapter in Chapter::ALL {
        section(&mut page, chapter_name(chapter));
        let conditions = Conditions::built_in().all().iter();
        conditions
            .filter(|condition| condition.chapter == chapter)
            .for_each(|it| write_condition(&mut page, it));
    }
    write_signs(&mut page);
    write_screen(&mut page);
    page
}

/// A row of a condition: what it is called, and what it says.
fn row(page: &mut String, label: &str, text: &str) {
    if !text.is_empty() {
        writeln!(page, "- **{label}**: {text}").expect("a string takes any text");
    }
}

fn section(page: &mut String, title: &str) {
    write!(page, "\n## {title}\n").expect("a string takes any text");
}

fn write_condition(page: &mut String, condition: &Condition) {
    write!(page, "\n### {}\n\n`{}`\n\n", condition.name, condition.typed()).expect("a string takes any text");
    row(page, "Keep off", &condition.avoid);
    let sentences: Vec<&str> = condition.card.iter().map(|sentence| sentence.text.as_str()).collect();
    row(page, "On the card", &sentences.join(" "));
    if !condition.limits.is_empty() {
        page.push_str("- **What the planner leaves out or lowers**, and how that is known:\n");
    }
    for limit in &condition.limits {
        writeln!(page, "  - {} *({})*", limit.text(), limit.grounds).expect("a string takes any text");
    }
    row(page, "Still fine", &condition.fine);
    row(page, "Clearance", condition.clearance.plain_name());
    row(page, "Say", &condition.say);
    row(page, "Red flag", &condition.red_flag);
    row(page, "Source of the words", &format!("{} ({})", condition.source, condition.verified));
}

const fn chapter_name(chapter: Chapter) -> &'static str {
    match chapter {
        Chapter::Tissue => "Tissue, bone and joint in general",
        Chapter::HipAndKnee => "Hip, knee and groin",
        Chapter::Shoulder => "Shoulder",
        Chapter::Back => "Back",
        Chapter::Neck => "Neck",
        Chapter::Arm => "Elbow, wrist and hand",
        Chapter::Foot => "Lower leg and foot",
        Chapter::HeartAndLungs => "Heart, vessels and lungs",
        Chapter::Pregnancy => "Pregnancy, birth, belly and breast",
        Chapter::WholeBody => "The whole body",
        Chapter::Everyone => "Everybody, and rules by age",
    }
}

fn write_signs(page: &mut String) {
    section(page, "Signs during a stretch");
    page.push_str(
        "\n| sign | at once | then | medical attention if | source |\n| --- | --- | --- | --- | --- |\n",
    );
    for sign in signs() {
        writeln!(
            page,
            "| {} | {} | {} | {} | {} ({}) |",
            sign.sign, sign.at_once, sign.next, sign.red_flag, sign.source, sign.verified
        )
        .expect("a string takes any text");
    }
}

fn write_screen(page: &mut String) {
    section(page, "The screen before hands-on work");
    page.push_str(
        "\nAsked before the first touch of a new client, again after six months, and again when a condition has come \
         since. A yes to one of the first group stops the session.\n",
    );
    for (weight, title) in [(Weight::Stop, "A yes stops the session"), (Weight::Ask, "A yes asks further")] {
        write!(page, "\n### {title}\n\n").expect("a string takes any text");
        for question in questions().iter().filter(|question| question.yes == weight) {
            let conditions: Vec<String> = question.conditions.iter().map(|id| format!("`{id}`")).collect();
            writeln!(page, "- {} *{}* ({})", question.ask, question.say, conditions.join(", "))
                .expect("a string takes any text");
        }
    }
    write!(
        page,
        "\n### Every session\n\n- {TODAY}\n- {CONSENT}\n- Under 18: a parent's or guardian's written consent on file, \
         the young client's own yes, and an adult in sight.\n"
    )
    .expect("a string takes any text");
    page.push_str(
        "\n### The massage finish\n\nOff until the trainer has stated that local rules allow it.\n\n",
    );
    for rule in MASSAGE_RULES {
        writeln!(page, "- {rule}").expect("a string takes any text");
    }
}
