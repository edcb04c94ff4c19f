//! Every surface judges alike: what nobody understands stops the work, and an angle has one norm or none.

use matside::catalogue::{Form, Stretch};
use matside::client::Client;
use matside::insight::held_against;
use matside::insight::length_test::LengthTest;
use ratatui::crossterm::event::KeyCode;

use super::studio::Studio;

/// A client whose card names a condition that is not in the list.
fn misspelt() -> Studio {
    let studio = Studio::with(&["Nora Quint"]);
    let card = "version = 1\nname = \"Nora Quint\"\nscreening = { on = 2026-11-02, clear = true }\n\n\
                [[condition]]\nid = \"hip-replacment-posterior\"\nside = \"left\"\n";
    studio.write("clients/nora-quint.toml", card);
    studio.killed()
}

#[test]
fn a_condition_that_nobody_knows_stops_on_the_day_on_the_card_and_on_the_plan() {
    let mut studio = misspelt();
    studio.press("quint");
    let (screen, said) = (studio.screen(200, 60), studio.app.lines(studio.now()).join("\n"));
    let words = "unknown condition `hip-replacment-posterior`: no session today";
    let (name, stop) = ("unknown condition `hip-replacment-posterior`", "No session: unknown condition");
    assert!(screen.contains(name) && screen.contains(stop), "{screen}");
    assert!(said.contains(&format!("In force: {words}")), "{said}");
    studio.key(KeyCode::F(2)).key(KeyCode::Home);
    let screen = studio.screen(200, 60);
    assert!(screen.contains("leave alone: ") && screen.contains("hamstrings"), "{screen}");
    studio.key(KeyCode::Esc).enter();
    studio.press("ham").enter();
    for (columns, rows) in [(80, 24), (200, 60)] {
        let screen = studio.screen(columns, rows);
        // Words may break, this name does not.
        assert!(screen.contains("`hip-replacement-posterior`?"), "{screen}");
    }
}

#[test]
fn an_angle_is_drawn_against_the_norm_that_is_reckoned_with_or_against_none() {
    let studio = Studio::with(&["Nora Quint"]);
    let catalogue = studio.services.catalogue();
    let is_test = |form: &&Form| LengthTest::of(form).is_some();
    let form_of = |stretch: &Stretch| stretch.forms.iter().find(is_test).unwrap_or(&stretch.forms[0]).clone();
    let sessions = catalogue.stretches().iter().enumerate().map(|(day, stretch)| {
        let day = format!("2026-{:02}-{:02}", 1 + day / 28, 1 + day % 28);
        format!(
            "\n[[session]]\nat = {day}T18:00:00+01:00\nminutes = 10\ntrained = {{ soleus = 1 }}\n\
             consent = \"hands-on\"\nreport.01 = {{ stretch = \"{}\", form = \"{}\", method = \"static\", \
             held_s = 30, angle_deg = 20 }}\nclosed = {day}T18:10:00+01:00\n",
            stretch.id,
            form_of(stretch).id
        )
    });
    let card = "version = 1\nname = \"Nora Quint\"\nborn = 1990-02-03\nsex = \"female\"\n".to_owned();
    let file: String = std::iter::once(card).chain(sessions).collect();
    studio.write("clients/nora-quint.toml", &file);
    let mut studio = studio.killed();
    let client: Client = studio.client("nora-quint");
    studio.press("quint").key(KeyCode::F(3));
    while !studio.screen(120, 40).contains("[Stretch]") {
        studio.key(KeyCode::Tab);
    }
    let today = studio.now().wall.date_naive();
    let (mut against, mut against_none) = (0, 0);
    // The latest stands first.
    for stretch in catalogue.stretches().iter().rev() {
        let screen = studio.screen(120, 40);
        assert!(screen.contains(&stretch.name), "{}\n{screen}", stretch.name);
        if let Some(wanted) = held_against(&form_of(stretch), &client, today) {
            against += 1;
            let words = format!("{:.0} is the mean of a sample", wanted.mean);
            assert!(screen.contains(&words), "{} lacks {words}\n{screen}", stretch.id);
        } else {
            against_none += 1;
            assert!(!screen.contains("is the mean of a sample"), "{} has none\n{screen}", stretch.id);
        }
        studio.key(KeyCode::Down);
    }
    assert!(against >= 2 && against_none > 3, "{against} and {against_none}");
}

#[test]
fn what_the_sessions_tell_is_the_same_sentence_everywhere() {
    let studio = Studio::with(&["Nora Quint"]);
    let sessions = (0..4).map(|number| {
        let day = format!("2026-11-{:02}", 10 + 4 * number);
        let report = |number: u32, side: &str, angle: i64| {
            format!(
                "report.0{number} = {{ stretch = \"straight-leg-raise\", form = \"hand-on-heel\", side = \"{side}\", \
                 method = \"static\", held_s = 30, level = 4, angle_deg = {angle} }}\n"
            )
        };
        format!(
            "\n[[session]]\nat = {day}T18:00:00+01:00\nminutes = 10\ntrained = {{ hamstrings = 2 }}\n\
             consent = \"hands-on\"\n{}{}closed = {day}T18:10:00+01:00\n",
            report(1, "left", 58),
            report(2, "right", 80)
        )
    });
    let card =
        "version = 2\nname = \"Nora Quint\"\nsex = \"female\"\n\n[[screening]]\non = 2026-11-02\nopen = []\n";
    let file: String = std::iter::once(card.to_owned()).chain(sessions).collect();
    studio.write("clients/nora-quint.toml", &file);
    let mut studio = studio.killed();
    let (client, today) = (studio.client("nora-quint"), studio.now().wall.date_naive());
    let told = matside::words::told(&client, &studio.services.catalogue(), today);
    assert!(
        told[0].starts_with("Hamstrings: left tighter, 58 against 80 degrees (4 measurements"),
        "{told:?}"
    );
    assert!(told.len() <= 5);
    let json = matside::handout::history_json(
        &client,
        &studio.services.catalogue(),
        today,
        &matside::handout::HistoryFilter::default(),
        true,
    );
    assert!(json.expect("JSON").contains(&told[0]));
    let hears = |studio: &Studio, surface: &str| {
        let lines = studio.app.lines(studio.now());
        assert!(lines.iter().any(|line| line.contains(&told[0])), "{surface}: {lines:#?}");
    };
    studio.press("quint");
    hears(&studio, "the day");
    studio.key(KeyCode::F(2));
    hears(&studio, "the card");
    studio.key(KeyCode::Esc).key(KeyCode::F(3));
    hears(&studio, "the history");
    studio.key(KeyCode::Esc).enter().press("ham").enter();
    hears(&studio, "the plan");
    studio.enter().agree().wait(40).finish();
    hears(&studio, "the review");
    // And on the pictures of them, where the words may break.
    let flat = |screen: String| screen.split_whitespace().collect::<Vec<_>>().join(" ");
    studio.key(KeyCode::F(2)).key(KeyCode::Home);
    assert!(flat(studio.screen(80, 24)).contains("58 against 80 degrees"), "{}", studio.screen(80, 24));
}
