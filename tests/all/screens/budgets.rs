//! How many words `--linear` says at once, from the start to the review: counted for every client of the demo, and for
//! clients with any two conditions.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;

use matside::caution::{Conditions, Restrictions, parse_recorded};
use matside::planner::Budget;

use proptest::prelude::*;
use proptest::test_runner::Config;

use super::linear::{assert_speakable, converse, count, hear};
use super::studio::Studio;

/// What is said, the most words of it as usual, and the most in brief: our judgement, by three words a second.
const BUDGETS: [(&str, usize, usize); 17] = [
    ("start", 60, 8),
    ("found", 15, 8),
    ("chosen", 50, 20),
    ("group", 50, 20),
    ("minutes", 25, 12),
    ("check", 39, 39),
    // And `EACH_CAUTION` for each.
    ("consent", 40, 25),
    ("agreed", 8, 8),
    ("block", 40, 15),
    ("step", 25, 10),
    ("answer", 8, 2),
    ("pause", 8, 2),
    ("go", 8, 2),
    ("error", 15, 10),
    ("pain", 35, 35),
    ("asked", 60, 40),
    ("review", 60, 40),
];

/// The words that each caution may take beside the question of consent.
const EACH_CAUTION: usize = 14;
/// The most words of its sentence, with a long name of a part of the body and that it waits for a clinician's word.
const SENTENCE: usize = 16;

/// What is given before the block begins, with what is heard then.
const BEFORE: [(&str, &str); 7] = [
    ("found", "WHO"),
    ("chosen", ""),
    ("group", "ctrl-r"),
    ("minutes", "9 minutes"),
    ("consent", ""),
    ("agreed", "a"),
    ("block", ""),
];

/// What is given in the block, one after the other: the words that it waits for, what is heard then, and the line.
const UNDER_WAY: [(&str, &str, &str); 9] = [
    ("One to five?", "answer", "4"),
    ("", "pause", "pause"),
    ("", "go", "go"),
    ("", "error", "zq zq zq zq zq zq zq"),
    ("", "asked", "steps"),
    ("", "asked", "why"),
    ("", "minutes", "6 minutes"),
    ("Ten.", "pain", "pain"),
    ("", "step", "next"),
];

/// From the start to the review, with what each piece is.
fn walk(mut studio: Studio, who: &str, brief: bool) -> Vec<(&'static str, String)> {
    studio.app.shared.brief = brief;
    let kinds = Rc::new(RefCell::new(vec!["start"]));
    let (mut waits, mut is_over, noted) = (0, false, Rc::clone(&kinds));
    let mut before = BEFORE.map(|(kind, line)| (kind, line.replace("WHO", who))).into_iter();
    let mut under_way = UNDER_WAY.iter().peekable();
    let mut after = [("review", "~1"), ("asked", "read")].into_iter();
    let heard = converse(studio, move |heard| {
        let last = heard.last().map_or("", String::as_str);
        let give = |kind, line: &str| {
            noted.borrow_mut().push(kind);
            Some(line.to_owned())
        };
        if last.contains("Question 1 of") {
            return give("check", "N");
        }
        if last.contains("Enter takes") || last.contains("Enter: go on") {
            return give("taken up", "");
        }
        if last.contains("there was no session yet") {
            return give("typed", "full body");
        }
        if noted.borrow().last() == Some(&"typed") {
            return give("group", "");
        }
        if noted.borrow().last() == Some(&"check") {
            return give("consent", "");
        }
        if let Some((kind, line)) = before.next() {
            return give(kind, &line);
        }
        is_over = is_over || last.contains("what came out") || waits == 400;
        if is_over {
            return after.next().and_then(|(kind, line)| give(kind, line));
        }
        waits += 1;
        match under_way.next_if(|(heard, ..)| last.contains(heard)) {
            Some((_, kind, line)) => give(kind, line),
            None => give("step", "~1"),
        }
    });
    let kinds = kinds.take();
    kinds.into_iter().zip(heard).collect()
}

/// What is said of what protects the client, whatever else there is: it is never cut and never shortened.
fn is_safety(line: &str) -> bool {
    line.starts_with("Caution: ") || line.starts_with("Health check") || line.contains("stopped for pain")
}

/// Every piece keeps to its words, but for what protects the client.
fn assert_within(pieces: &[(&'static str, String)], brief: bool) {
    let named = cautions_named(pieces);
    for (kind, piece) in pieces {
        let kind = match piece {
            piece if piece.contains("what came out") => "review",
            piece if piece.contains("Question ") => "check",
            _ => kind,
        };
        let Some((_, usual, few)) = BUDGETS.iter().find(|(name, ..)| *name == kind) else { continue };
        let safety: usize = match kind {
            "consent" => EACH_CAUTION * named,
            "step" | "block" => 2 * piece.matches(" Aim ").count(),
            _ => piece.lines().filter(|line| is_safety(line)).map(count).sum(),
        };
        let most = if brief { *few } else { *usual };
        assert!(count(piece) <= most + safety, "{kind}: {} of {most}: {piece}", count(piece));
    }
}

#[test]
fn nothing_on_the_way_through_a_block_has_more_words_than_there_is_time_for() {
    let mut kinds = BTreeSet::new();
    for entry in std::fs::read_dir(super::studio::demo_folder().join("clients")).expect("the demo") {
        let path = entry.expect("a file").path();
        let who = path.file_stem().expect("a name").to_string_lossy();
        for brief in [false, true] {
            let pieces = walk(Studio::demo_planned_with(Budget::passes(1)), &who, brief);
            assert!(pieces.iter().filter(|(kind, _)| *kind == "step").count() > 20, "{who}: {pieces:?}");
            for (_, piece) in &pieces {
                assert_speakable(piece);
                assert!(!["Keys:", "Typed:", "Note:"].iter().any(|never| piece.contains(never)), "{piece}");
            }
            assert_within(&pieces, brief);
            assert_cautions_are_said_once(&pieces);
            kinds.extend(pieces.iter().map(|(kind, _)| *kind));
        }
    }
    let unheard: Vec<&str> =
        BUDGETS.iter().map(|(kind, ..)| *kind).filter(|kind| !kinds.contains(kind)).collect();
    assert_eq!(unheard, [""; 0], "every kind is heard of somebody");
}

/// How many cautions were named as the client was chosen.
fn cautions_named(pieces: &[(&'static str, String)]) -> usize {
    let chosen = pieces.iter().filter(|(kind, _)| *kind == "chosen");
    chosen.map(|(_, piece)| piece.matches("Caution: ").count()).sum()
}

/// Each condition in its card sentence at the question of consent, and not again by itself.
fn assert_cautions_are_said_once(pieces: &[(&'static str, String)]) {
    let named = cautions_named(pieces);
    let Some(at) = pieces.iter().position(|(kind, piece)| *kind == "consent" && piece.contains("Ask: "))
    else {
        return;
    };
    let sentences: Vec<&str> = pieces[at].1.lines().skip(1).take(named).collect();
    assert_eq!(sentences.len(), named, "{}", pieces[at].1);
    for sentence in sentences {
        assert!(count(sentence) <= SENTENCE, "{sentence}");
        let again = pieces[at + 1..].iter().filter(|(kind, _)| *kind != "asked");
        assert!(again.clone().all(|(_, piece)| !piece.contains(sentence)), "{sentence}");
    }
}

/// Words of every condition there is, with a side where one belongs to it.
fn conditions() -> Vec<String> {
    let all = Conditions::built_in().all().iter().filter(|condition| !condition.stops());
    let words = all.flat_map(|condition| [condition.id.to_string(), format!("{}:left", condition.id)]);
    words.filter(|word| parse_recorded(word).is_ok()).collect()
}

proptest! {
    #![proptest_config(Config { cases: 12, failure_persistence: None, ..Config::default() })]

    #[test]
    fn whatever_two_conditions_a_client_has_everything_keeps_to_its_words(
        both in prop::collection::vec(prop::sample::select(conditions()), 2),
        brief in any::<bool>(),
    ) {
        let pieces = walk(Studio::with_conditions("Ana Lund", &both), "lund", brief);
        assert_within(&pieces, brief);
        assert_cautions_are_said_once(&pieces);
        for (_, piece) in &pieces {
            assert_speakable(piece);
        }
    }
}

#[test]
fn what_does_not_fit_before_the_question_of_consent_comes_with_more() {
    let conditions = ["shoulder-replacement-anatomic:left", "knee-replacement:right"].map(str::to_owned);
    let script = ["", "ham", "", "", "more", "more", "more", "why", "esc", "", "again", "more"];
    let heard = hear(Studio::with_conditions("Ilse Brandt", &conditions), &script);
    let lines: Vec<&str> = heard[4].lines().collect();
    assert!(lines[1].starts_with("Left shoulder: ") && lines[1].ends_with("Not cleared."), "{lines:?}");
    assert!(lines[2].starts_with("Right knee: ") && lines[2].ends_with("Not cleared."), "{lines:?}");
    assert!(lines[lines.len() - 2].ends_with(" more: more."), "{lines:?}");
    assert!(lines[lines.len() - 1].starts_with("Ask: "), "{lines:?}");
    let today = "2026-11-25".parse().expect("a day");
    let recorded: Vec<_> = conditions.iter().map(|word| parse_recorded(word).expect("it reads")).collect();
    let restrictions = Restrictions::of(&recorded, None, today);
    let said = heard[4..8].concat();
    for caution in restrictions.in_force() {
        assert!(
            said.contains(&format!(
                "{}: {}",
                caution.title.replace(" (", ", ").replace(')', ""),
                caution.say.split(". ").next().expect("words")
            )),
            "{said}"
        );
        let sentences =
            caution.card.iter().filter(|line| !line.contains(|letter: char| letter.is_ascii_digit()));
        for sentence in sentences {
            assert!(said.contains(sentence.trim_end_matches('.')), "{sentence}: {said}");
        }
    }
    for piece in &heard[5..8] {
        assert!(count(piece) <= 60, "{piece}");
    }
    // Said again, it has the same rest.
    assert!(heard[11].ends_with(&heard[4][heard[4].find('\n').expect("lines")..]), "{}", heard[11]);
    assert_eq!(heard[12], heard[5]);
}

#[test]
fn each_question_of_the_health_check_is_heard_in_thirteen_seconds_and_why_tells_what_a_yes_leads_to() {
    let begin = ["Nora Quint", "", "ctrl-p", "ham", "", ""];
    let script: Vec<&str> =
        begin.into_iter().chain(["no"; 15]).chain(["why", "yes", "why", "before"]).collect();
    let heard = hear(Studio::empty(), &script);
    let asked: Vec<&String> = heard.iter().filter(|piece| piece.contains("Question ")).collect();
    assert!(asked[0].starts_with("Health check.\nQuestion 1 of 16, a yes stops: "), "{}", asked[0]);
    assert!(asked.len() >= 16 && asked.iter().all(|piece| count(piece) <= 39), "{asked:?}");
    let why = &heard[begin.len() + 16];
    assert!(why.contains("Nora Quint, ") && why.contains("After a yes ask more"), "{why}");
    let found = &heard[begin.len() + 17];
    assert!(found.contains("Touch: ") && count(found) <= 40, "{found}");
    assert!(heard[begin.len() + 18].contains("rather not be touched"), "{}", heard[begin.len() + 18]);
}

#[test]
fn a_row_is_chosen_by_its_number_and_an_answer_is_mended_by_its_step() {
    let names = ["Ana Lund", "Ilse Brandt", "Nora Quint"];
    let heard = hear(
        Studio::with(&names),
        &["2", "9", "", "ham", "", "", "a", "", "~60", "space", "f", "4", "1 is 3", "9 is 3", "7"],
    );
    assert_eq!(heard[1], "2 of 3: Ilse Brandt\n");
    assert_eq!(heard[2], "There are 3.\n");
    assert!(heard[3].starts_with("Plan for Ilse Brandt"), "{}", heard[3]);
    assert!(heard[12].starts_with("Of which step?"), "{}", heard[12]);
    assert!(heard[13].contains("answer 3"), "{}", heard[13]);
    assert_eq!(heard[14], "There are 2 steps.\n");
    assert!(heard[15].starts_with("Of which step?"), "{}", heard[15]);
}

#[test]
fn again_says_what_was_said_last_with_the_seconds_of_now() {
    let script = [
        "",
        "ham",
        "",
        "",
        "a",
        "",
        "again",
        "~32",
        "time",
        "~2",
        "again",
        "again",
        "~3",
        "again",
        "cautions",
        "cautions full",
    ];
    let heard =
        hear(Studio::with_conditions("Ilse Brandt", &["hip-replacement-posterior:left".to_owned()]), &script);
    assert_eq!(heard[7], heard[6]);
    assert!(heard[9].contains("Hold, ") || heard[9].contains("Ready, "), "{}", heard[9]);
    let seconds = |piece: &str| {
        piece.split_once(" second").and_then(|(before, _)| before.rsplit(' ').next()?.parse::<u32>().ok())
    };
    assert_eq!(seconds(&heard[11]), seconds(&heard[9]).map(|before| before - 2), "{heard:?}");
    assert!(heard[14].starts_with("Hold, ") && heard[14].ends_with(" seconds.\n"), "{}", heard[14]);
    assert!(heard[15].starts_with("Left hip: ") && !heard[15].contains("degrees"), "{}", heard[15]);
    assert!(heard[16].contains("New hip"), "{}", heard[16]);
}

#[test]
fn brief_is_kept_with_the_trainers_settings_when_it_is_asked_for_and_only_then() {
    let studio = Studio::with(&["Ilse Brandt"]);
    let file = studio.root().join("trainer.toml");
    let kept = |studio: &Studio| {
        matside::store::Store::open(studio.root()).expect("the folder").trainer().expect("the trainer").brief
    };
    assert!(!file.exists());
    let mut studio = studio;
    studio.enter().words("brief");
    assert!(kept(&studio) && studio.app.shared.brief);
    let studio = studio.killed();
    assert!(studio.services.trainer().brief);
    let mut studio = studio;
    studio.list().enter().words("normal");
    assert!(!kept(&studio) && !studio.app.shared.brief);
}
