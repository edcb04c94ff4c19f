//! A trainer's own stretches: everything wrong is found at once, with its line and a remedy.

use std::path::Path;

use matside::catalogue::{Catalogue, Drawing, HandPlace, Method, SeenFrom, Stretch, WallPlace};
use matside::document::{Flaw, Source};

const GOOD: &str = r#"
[[stretch]]
id = "my-calf"
name = "My calf"
[[stretch.form]]
id = "on-the-mat"
position = "supine"
sides = "each"
helper = "assisted"
motions = { ankle_dorsiflexion = 15, knee_extension = 0 }
targets = { gastrocnemius = 100 }
setup_s = 5
holds_s = [15, 20, 30]
contract_relax = [ { cycles = 3, push_s = 3, stretch_s = 7 } ]
say = "Leg long."
hands = "Cup the heel."
feet = "Kneel below the foot."
spine = "Lean, do not pull."
watch = "Foot straight."
mistakes = "Pushing the toes."
"#;

fn parse(text: &str) -> (Vec<Stretch>, Vec<Flaw>) {
    Catalogue::parse(&Source::made(Path::new("mine.toml"), text.to_owned()))
}

fn flaws(text: &str) -> Vec<Flaw> {
    parse(text).1
}

/// The line of `GOOD` that begins with `start`, counted from 1.
fn line_of(start: &str) -> usize {
    GOOD.lines().position(|line| line.starts_with(start)).expect("a line of the sample") + 1
}

#[test]
fn a_good_file_is_read_and_added() {
    let (own, flaws) = parse(GOOD);
    assert_eq!(flaws, []);
    let form = &own[0].forms[0];
    assert_eq!((form.name.as_str(), form.equipment.len(), form.gentle), ("On the mat", 0, false));
    let all = Catalogue::built_in().with_own(own.clone()).expect("the id is free");
    assert_eq!(all.stretches().len(), Catalogue::built_in().stretches().len() + 1);
    let clash = all.with_own(own).expect_err("the id is taken now");
    assert_eq!(clash[0].as_str(), "my-calf");
}

#[test]
fn what_is_pushed_is_a_field_and_may_still_stand_at_the_end_of_what_is_said() {
    let cues = |text: &str| parse(text).0[0].forms[0].cues.clone();
    let (before, push) = ("say = \"Leg long.\"", "point the toes, lightly.");
    let field = GOOD.replace(before, &format!("{before}\npush = \"{push}\""));
    let within = GOOD.replace(before, &format!("say = \"Leg long. To push: {push}\""));
    for text in [field, within] {
        let cues = cues(&text);
        assert_eq!(cues.said(Method::Static), "Leg long.");
        assert_eq!(cues.said(Method::ContractRelax), "Leg long. To push: point the toes, lightly.");
    }
    assert_eq!(cues(GOOD).said(Method::ContractRelax), "Leg long.");
    let still =
        GOOD.replace("contract_relax", "# contract_relax").replace(before, "say = \"A\"\npush = \"B\"");
    assert!(flaws(&still)[0].message.contains("nothing to push"), "{:?}", flaws(&still));
}

#[test]
fn a_file_from_before_may_still_say_the_load_by_a_number() {
    let before = GOOD.replace("setup_s = 5", "setup_s = 5\nstrain = 2");
    assert_eq!(parse(&before), parse(GOOD));
}

#[test]
fn what_a_picture_needs_to_know_may_be_said_and_a_slip_in_it_is_named() {
    let with = |line: &str| GOOD.replace("setup_s = 5", &format!("setup_s = 5\n{line}"));
    let text = with("client_hands = [\"hip\", \"wall\"]\nseen_from = \"back\"\nwall = \"side\"");
    let drawing = parse(&text).0[0].forms[0].drawing;
    assert_eq!(drawing.hands, Some([HandPlace::Hip, HandPlace::Wall]));
    assert_eq!((drawing.seen_from, drawing.wall), (Some(SeenFrom::Back), Some(WallPlace::Side)));
    assert_eq!(parse(GOOD).0[0].forms[0].drawing, Drawing::default());
    for (line, message) in [
        ("client_hands = [\"hip\"]", "does not name two hands"),
        ("client_hands = [\"hip\", \"nose\"]", "unknown place of a hand `nose`"),
        ("seen_from = \"below\"", "unknown point of view `below`"),
        ("wall = \"left\"", "unknown place of the wall `left`"),
    ] {
        let flaws = flaws(&with(line));
        assert!(flaws.len() == 1 && flaws[0].message.contains(message), "{line}: {flaws:?}");
    }
}

#[test]
fn each_slip_is_named_with_its_line_and_a_remedy() {
    let cases = [
        (
            "position = \"supine\"",
            "position = \"supin\"",
            "unknown position `supin`",
            "did you mean `supine`?",
        ),
        (
            "sides = \"each\"",
            "sides = 2",
            "sides: expected a word in quotes, found a whole number",
            "write it like `sides = \"each\"`",
        ),
        (
            "motions",
            "motions = { ankle_dorsifexion = 15, knee_extension = 0 }",
            "unknown motion",
            "`ankle_dorsiflexion`",
        ),
        (
            "motions",
            "motions = { ankle_dorsiflexion = 500, knee_extension = 0 }",
            "angle is 500, but must be -60 to 200",
            "-60 to 200",
        ),
        ("motions", "motions = { knee_flexion = 9, knee_extension = 0 }", "cannot both be", "keep the one"),
        (
            "motions",
            "motions = { ankle_dorsiflexion = 15, knee_flexion = 90 }",
            "shorten `gastrocnemius`",
            "mend the motions",
        ),
        (
            "motions",
            "motions = { ankle_dorsiflexion = 15 }",
            "do not lengthen `gastrocnemius`",
            "add `knee_extension`",
        ),
        ("targets", "targets = { gastrocnemus = 100 }", "unknown muscle", "did you mean `gastrocnemius`?"),
        ("targets", "targets = { gastrocnemius = 0 }", "out of range", "1 to 100"),
        ("targets", "targets = {}", "no target", "write `targets"),
        ("setup_s", "setup_s = 7", "not a multiple of 5", "use 5 or 10"),
        ("holds_s", "holds_s = [30, 15]", "do not rise", "shortest first"),
        ("holds_s", "holds_s = [300]", "out of range", "10 to 60"),
        ("contract_relax", "contract_relax = [ { cycles = 3, push_s = 4, stretch_s = 8 } ]", "36 s", "3 + 7"),
        (
            "contract_relax",
            "contract_relax = [ { cycles = 3, push_s = 9, stretch_s = 11 } ]",
            "out of range",
            "3 to 6",
        ),
        ("say", "say = \" \"", "say: there is nothing in the quotes", "one line"),
        ("say", "says = \"Leg long.\"", "`say` is missing in this form", "add `say"),
        ("id = \"on-the-mat\"", "id = \"On the mat\"", "cannot be a form id", "a-z"),
    ];
    for (start, replacement, message, remedy) in cases {
        let text: Vec<&str> =
            GOOD.lines().map(|line| if line.starts_with(start) { replacement } else { line }).collect();
        let found = flaws(&text.join("\n"));
        let hit = found.iter().find(|flaw| flaw.message.contains(message));
        let Some(hit) = hit else { panic!("{replacement}: {found:?}") };
        assert!(hit.remedy.contains(remedy), "{hit}");
        let of_form = hit.message.contains("is missing");
        assert_eq!(
            hit.line,
            line_of(if of_form {
                "[[stretch.form]]"
            } else if message.contains("gthen `") || message.contains("shorten `") {
                "targets"
            } else {
                start
            }),
            "{hit}"
        );
        assert!(parse(&text.join("\n")).0.is_empty(), "{replacement} was taken");
    }
}

#[test]
fn all_slips_come_at_once_in_the_order_of_the_file() {
    let text = GOOD
        .replace("\"supine\"", "\"supin\"")
        .replace("setup_s = 5", "setup_s = 6\ncolour = \"red\"")
        .replace("mistakes = \"Pushing the toes.\"\n", "");
    let found = flaws(&text);
    let lines: Vec<usize> = found.iter().map(|flaw| flaw.line).collect();
    assert_eq!(found.len(), 4, "{found:?}");
    assert!(lines.is_sorted(), "{lines:?}");
    assert!(found.iter().any(|flaw| flaw.message.contains("unknown key `colour`")), "{found:?}");
}

#[test]
fn doubles_and_broken_files_lose_nothing_silently() {
    let twice = format!("{GOOD}{GOOD}");
    let (own, found) = parse(&twice);
    assert_eq!((own.len(), found.len()), (1, 1), "{found:?}");
    assert!(found[0].to_string().starts_with("mine.toml:23:"), "{}", found[0]);
    for broken in ["[[stretch]\nid = 1", "stretch = 3", "[stretch]\nid = \"a\"", "\u{0}", "id = \"é", "x = 1"]
    {
        let (own, found) = parse(broken);
        assert!(own.is_empty() && !found.is_empty(), "{broken:?}");
    }
    assert_eq!(parse("# nothing yet\n"), (Vec::new(), Vec::new()));
}
