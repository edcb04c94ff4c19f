//! A program that speaks: what it is given and when it is cut off, with a stand-in that notes it, with programs that
//! fail, hang, write or are not there, and with a real one where there is one.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

use std::fs::{self, File};
use std::io::{BufRead as _, BufReader};
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::process::Command;
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use matside::platform;
use matside::session::Urgency;
use matside::tui::speaker::{Speaker, SpeechCommand};
use matside::tui::spoken::cues::{Utterance, estimate};

use super::screens::cues::block_of;

/// Nothing waits so long when all is well.
const PATIENCE: Duration = Duration::from_secs(20);

/// Writes a program of the shell into a folder; `$line` is what it is to say.
pub(crate) fn program(folder: &Path, body: &str) -> String {
    let path = folder.join("voice");
    fs::write(&path, format!("#!/bin/sh\nfor line; do :; done\n{body}\n")).unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o755)).unwrap();
    path.display().to_string()
}

/// What comes from a stand-in: a line that it wrote, or that nothing of it runs any more.
#[derive(Debug, PartialEq, Eq)]
enum Heard {
    Line(String),
    Quiet,
}

/// A program that says when it begins and when it ends, and takes so long. It writes into a pipe that stays open while
/// it or a child of it lives, so that nobody has to look again and again.
struct StandIn {
    command: String,
    told: Receiver<Heard>,
    lines: Vec<String>,
}

impl StandIn {
    fn new(folder: &Path, seconds: &str) -> Self {
        let pipe = folder.join("pipe");
        assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        let body = format!(
            "exec 3> '{}'\necho \"begin $line\" >&3\nsleep {seconds}\necho \"end $line\" >&3",
            pipe.display()
        );
        let command = program(folder, &body);
        let (tell, told) = channel();
        thread::spawn(move || {
            // Opening waits for somebody who writes; the end comes when the last one is gone.
            while let Ok(file) = File::open(&pipe) {
                let lines = BufReader::new(file).lines().map_while(Result::ok).map(Heard::Line);
                if lines.chain([Heard::Quiet]).any(|heard| tell.send(heard).is_err()) {
                    break;
                }
            }
        });
        Self { command, told, lines: Vec::new() }
    }

    /// What is heard next.
    fn next(&mut self) -> Heard {
        let heard =
            self.told.recv_timeout(PATIENCE).unwrap_or_else(|_| panic!("nothing after {:?}", self.lines));
        if let Heard::Line(line) = &heard {
            self.lines.push(line.clone());
        }
        heard
    }

    /// Waits until it has written such a line.
    fn until(&mut self, line: &str) {
        while self.next() != Heard::Line(line.to_owned()) {}
    }
}

fn speaker(command: &str) -> (Speaker, Receiver<String>) {
    let (told, heard) = channel();
    (Speaker::start(SpeechCommand::named(command), move |words| told.send(words).unwrap()), heard)
}

fn line(words: &str, urgency: Urgency) -> Utterance {
    Utterance { urgency, bells: 2, ..Utterance::answer(words) }
}

#[test]
fn a_change_of_side_waits_for_the_end_of_a_line_and_is_dropped_where_there_is_no_room() {
    let folder = tempfile::tempdir().unwrap();
    let mut voice = StandIn::new(folder.path(), "1");
    let (speaker, _heard) = speaker(&voice.command);
    let change = |words: &str, room| Utterance { room: Some(room), ..line(words, Urgency::Change) };
    speaker.say(line("Four. Saved.", Urgency::Answer));
    voice.until("begin Four. Saved.");
    speaker.say(change("Left.", Duration::from_secs(8)));
    voice.until("end Four. Saved.");
    voice.until("begin Left.");
    // A hold cuts off what speaks, and what waits has missed its moment.
    speaker.say(change("Right.", Duration::from_secs(8)));
    speaker.say(line("Hold.", Urgency::Work));
    voice.until("begin Hold.");
    speaker.say(change("Both.", Duration::from_millis(900)));
    voice.until("end Hold.");
    speaker.say(line("Up.", Urgency::Work));
    voice.until("end Up.");
    drop(speaker);
    assert!(
        !voice.lines.iter().any(|line| line.contains("Right.") || line.contains("Both.")),
        "{:?}",
        voice.lines
    );
}

#[test]
fn a_voice_that_is_done_before_it_can_have_spoken_made_no_sound() {
    let folder = tempfile::tempdir().unwrap();
    let here = program(folder.path(), "exit 0");
    let named = folder.path().join("espeak-ng");
    fs::rename(here, &named).unwrap();
    let (of_it, heard) = speaker(&named.display().to_string());
    of_it.say(line("Up. One to five?", Urgency::Work));
    let told = heard.recv_timeout(PATIENCE).unwrap();
    assert_eq!(told, format!("No speech: {} made no sound. Bells instead.", named.display()));
    assert_eq!(of_it.say(line("Hold.", Urgency::Work)), 2);
    drop(of_it);
    // Into a file it is as fast as it likes.
    let (of_it, heard) = speaker(&format!("{} -w/dev/null", named.display()));
    for words in ["Up.", "Hold."] {
        of_it.say(line(words, Urgency::Work));
    }
    drop(of_it);
    assert!(heard.recv_timeout(PATIENCE).is_err());
}

#[test]
fn each_line_is_the_last_argument_and_only_what_is_more_urgent_cuts_one_off() {
    let folder = tempfile::tempdir().unwrap();
    let mut voice = StandIn::new(folder.path(), "1");
    let (speaker, heard) = speaker(&voice.command);
    assert_eq!(speaker.say(line("Four. Saved.", Urgency::Answer)), 0);
    voice.until("begin Four. Saved.");
    speaker.say(line("Ten.", Urgency::Mark));
    speaker.say(line("Last one.", Urgency::Remark));
    speaker.say(line("Hold.", Urgency::Work));
    voice.until("begin Hold.");
    speaker.say(line("Pain. Ease out, slowly.", Urgency::Alarm));
    voice.until("begin Pain. Ease out, slowly.");
    speaker.say(line("Up.", Urgency::Work));
    voice.until("end Pain. Ease out, slowly.");
    drop(speaker);
    let begun = ["begin Four. Saved.", "begin Hold.", "begin Pain. Ease out, slowly."];
    assert_eq!(voice.lines, [&begun[..], &["end Pain. Ease out, slowly."]].concat());
    assert!(heard.try_recv().is_err(), "what is cut off has not failed");
}

#[test]
fn a_line_with_no_room_gives_way_to_a_shorter_one_or_is_not_said() {
    let folder = tempfile::tempdir().unwrap();
    let mut voice = StandIn::new(folder.path(), "0");
    let (speaker, _heard) = speaker(&voice.command);
    let choices = ["Left. Soleus, knee bent.", "Left."].map(str::to_owned).to_vec();
    let tight = Utterance { choices, room: Some(Duration::from_secs(1)), ..line("", Urgency::Change) };
    speaker.say(tight.clone());
    voice.until("end Left.");
    assert_eq!(voice.next(), Heard::Quiet);
    let none = Some(Duration::from_millis(100));
    speaker.say(Utterance { room: none, ..line("Ten.", Urgency::Mark) });
    speaker.say(Utterance { room: none, ..tight });
    speaker.say(line("Pain.", Urgency::Alarm));
    voice.until("end Pain.");
    assert_eq!(voice.lines, ["begin Left.", "end Left.", "begin Pain.", "end Pain."]);
}

#[test]
fn what_the_line_holds_is_no_option_and_no_command() {
    let folder = tempfile::tempdir().unwrap();
    let mut voice = StandIn::new(folder.path(), "0");
    let (speaker, _heard) = speaker(&voice.command);
    speaker.say(line("--version; $(touch harm) `id`", Urgency::Work));
    voice.until("end version; $(touch harm) `id`");
}

/// What is told when a program fails, after which bells ring in its place until another block begins.
fn failing(command: &str, why: &str) {
    let (speaker, heard) = speaker(command);
    speaker.say(line("Hold.", Urgency::Work));
    let told = heard.recv_timeout(PATIENCE).unwrap();
    assert!(told.starts_with("No speech: ") && told.ends_with(&format!(" {why}. Bells instead.")), "{told}");
    assert_eq!(speaker.say(line("Up.", Urgency::Work)), 2);
    assert!(heard.try_recv().is_err(), "told once");
    let first = Utterance { is_first: true, ..line("Left.", Urgency::Change) };
    assert_eq!(speaker.say(first), 0, "tried again");
    heard.recv_timeout(PATIENCE).unwrap();
}

#[test]
fn a_program_that_is_not_there_fails_or_never_ends_is_told_once_a_block_and_bells_ring() {
    let folder = tempfile::tempdir().unwrap();
    failing("/no/such/voice -s 175", "was not found");
    failing(&program(folder.path(), "exit 1"), "failed");
    fs::write(folder.path().join("no-program"), "").unwrap();
    failing(&folder.path().join("no-program").display().to_string(), "could not be started");
    failing(&program(folder.path(), "sleep 60"), "did not end");
}

#[test]
fn a_program_that_hangs_is_ended_with_its_children_when_the_block_is_left() {
    let folder = tempfile::tempdir().unwrap();
    // Longer than anybody waits here: quiet comes only of ending it, its child too.
    let mut voice = StandIn::new(folder.path(), "60");
    let (speaker, _heard) = speaker(&voice.command);
    speaker.say(line("Hold.", Urgency::Work));
    voice.until("begin Hold.");
    drop(speaker);
    assert_eq!(voice.next(), Heard::Quiet);
    assert_eq!(voice.lines, ["begin Hold."]);
}

#[test]
fn no_line_takes_a_real_voice_longer_than_its_estimate() {
    const VOICE: &str = "espeak-ng";
    if !platform::is_program(VOICE) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("line.wav");
    let mut lines: Vec<String> =
        block_of("feldm").into_iter().flat_map(|(_, utterance)| utterance.choices).collect();
    lines.sort();
    lines.dedup();
    for line in lines {
        let made = Command::new(VOICE).args(["-s", "175", "-w"]).arg(&file).arg(&line).status().unwrap();
        assert!(made.success());
        // 16 bits at 22,050 a second, behind a head of 44 bytes.
        let bytes = fs::metadata(&file).unwrap().len().saturating_sub(44);
        let took = Duration::from_millis(bytes * 1000 / (2 * 22_050));
        assert!(took <= estimate(&line), "`{line}` takes {took:?}, not {:?}", estimate(&line));
    }
}
