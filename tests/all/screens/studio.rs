//! A trainer at the screens: keys in, screens out, over a clock that the script moves and files in a scratch folder.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

use std::cell::RefCell;
use std::collections::{BTreeMap, VecDeque};
use std::path::PathBuf;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};
use matside::body::{Seconds, Side};
use matside::catalogue::{Equipment, Form, Helper, Method, Position, Stretch};
use matside::caution::parse_recorded;
use matside::client::{Client, ClientId, Consent, Profile, Screening};
use matside::planner::{Budget, Dose, Plan, PlanRequest, Planner, Step, Why, step_load};
use matside::session::Moment;
use matside::store::Store;
use matside::tui::Failure;
use matside::tui::app::App;
use matside::tui::effect::{Effect, Job, Purpose};
use matside::tui::event::{Event, Now, Reply};
use matside::tui::keys::{Mode, RemoteKeys};
use matside::tui::services::{self, PlanMaker, Services};
use matside::tui::shared::Shared;
use matside::tui::spoken::cues::Utterance;
use matside::tui::theme::{Background, ColourDepth, Theme};
use matside::tui::widgets::pictures::Pictures;
use ratatui::buffer::Buffer;
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use ratatui::layout::Rect;

/// Takes what comes first in the order of positions and wants no chair, as long as there is time: enough to see the
/// screens with.
#[derive(Debug)]
pub(crate) struct FirstFit;

impl FirstFit {
    fn step(
        stretch: &Stretch,
        form: &Form,
        side: Option<Side>,
        start: Seconds,
        request: &PlanRequest,
    ) -> Option<Step> {
        let hold = *form.holds.iter().find(|hold| hold.get() >= 20)?;
        let allowed = request.today.restrictions.permit(stretch, form, side, Method::Static).ok()?;
        let muscles = form.targets.iter().map(|target| target.muscle).collect();
        Some(Step {
            start,
            end: start + form.setup + hold,
            stretch: stretch.id.clone(),
            name: stretch.name.clone(),
            form: form.id.clone(),
            side,
            load: step_load(form, Dose::Hold(hold), None),
            position: form.position,
            setup: form.setup,
            dose: Dose::Hold(hold),
            aim: allowed.aim(),
            motions: form.motions.clone(),
            other_side: form.other_side.clone(),
            muscles,
            why: vec![Why::Pinned],
        })
    }
}

impl PlanMaker for FirstFit {
    fn plan(&mut self, request: &PlanRequest) -> Result<Plan, Failure> {
        let budget = request.progress.as_ref().map_or(request.minutes.seconds(), |progress| progress.left);
        let finished =
            request.progress.as_ref().map(|progress| progress.finished.clone()).unwrap_or_default();
        let opening = if request.progress.is_some() { Seconds::ZERO } else { Seconds::new(15) };
        let (mut at, mut steps) = (opening, Vec::new());
        for position in Position::ALL {
            for stretch in request.today.catalogue.stretches() {
                let wanted = |form: &&Form| {
                    form.position == *position
                        && !form.equipment.contains(&Equipment::Chair)
                        && (request.consent == Consent::HandsOn || form.helper == Helper::Client)
                        && form.targets.iter().any(|target| request.trained.contains_key(&target.muscle))
                };
                let set_aside =
                    request.wishes.skipped.contains(&stretch.id) || finished.contains(&stretch.id);
                let Some(form) = stretch.forms.iter().find(wanted).filter(|_| !set_aside) else { continue };
                for side in form.workings() {
                    let step = Self::step(stretch, form, *side, at, request);
                    if let Some(step) = step.filter(|step| step.end <= budget) {
                        at = step.end;
                        steps.push(step);
                    }
                }
            }
        }
        Ok(Plan {
            minutes: request.minutes,
            budget,
            opening,
            steps,
            massage: Seconds::ZERO,
            total: at,
            value: 0,
            bound: 0,
            left_out: Vec::new(),
        })
    }
}

/// A scratch folder that goes when it is dropped.
pub(crate) fn scratch() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

/// The demo's own files.
pub(crate) fn demo_folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo")
}

/// A trainer at the screens.
pub(crate) struct Studio {
    pub(crate) app: App,
    pub(crate) services: Services,
    pub(crate) bells: usize,
    /// What was to be spoken, with the moment.
    pub(crate) spoken: Vec<(Duration, Utterance)>,
    pub(crate) quit: bool,
    /// Reports that were acknowledged as written.
    pub(crate) acknowledged: usize,
    /// The latest question for a plan, as it would be proven beside.
    asked: Option<(Job, Box<PlanRequest>)>,
    /// Pictures that were worked out for the screens that were looked at.
    pictures: RefCell<Pictures>,
    passed: Duration,
    start: DateTime<FixedOffset>,
    _folder: tempfile::TempDir,
    root: PathBuf,
}

impl Studio {
    /// Opens an empty data folder on a Wednesday evening.
    pub(crate) fn empty() -> Self {
        let folder = scratch();
        let root = folder.path().join("data");
        Self::open(folder, root)
    }

    /// Opens a data folder with these clients, by name, screened this month.
    pub(crate) fn with(names: &[&str]) -> Self {
        let folder = scratch();
        let root = folder.path().join("data");
        let store = Store::open(&root).unwrap();
        for name in names {
            let id = store.new_id(name).unwrap();
            let asked = Screening::clear("2026-11-02".parse().unwrap());
            store.create(&Profile { screenings: vec![asked], ..Profile::new(id, *name) }).unwrap();
        }
        Self::open(folder, root)
    }

    /// Opens a data folder with one client who has these conditions, as commands take them.
    pub(crate) fn with_conditions(name: &str, conditions: &[String]) -> Self {
        let folder = scratch();
        let root = folder.path().join("data");
        let store = Store::open(&root).unwrap();
        let id = store.new_id(name).unwrap();
        let asked = Screening::clear("2026-11-02".parse().unwrap());
        let conditions = conditions.iter().map(|word| parse_recorded(word).unwrap()).collect();
        let profile = Profile { screenings: vec![asked], conditions, ..Profile::new(id, name) };
        store.create(&profile).unwrap();
        Self::open(folder, root)
    }

    /// Opens a copy of the demo.
    pub(crate) fn demo() -> Self {
        let (folder, root) = Self::copy_of_the_demo();
        Self::open(folder, root)
    }

    /// Opens a copy of the demo in colour, with the program's own planner.
    pub(crate) fn demo_in_colour() -> Self {
        let (folder, root) = Self::copy_of_the_demo();
        let theme = Theme { depth: ColourDepth::True, background: Background::Dark, ascii: false };
        Self::open_with(folder, root, Box::new(Planner::new(Budget::FULL)), theme)
    }

    /// Opens a copy of the demo with the program's own planner, which does so much for a question.
    pub(crate) fn demo_planned_with(budget: Budget) -> Self {
        let (folder, root) = Self::copy_of_the_demo();
        let theme = Theme { depth: ColourDepth::None, background: Background::Dark, ascii: false };
        Self::open_with(folder, root, Box::new(Planner::new(budget)), theme)
    }

    fn copy_of_the_demo() -> (tempfile::TempDir, PathBuf) {
        let folder = scratch();
        let root = folder.path().join("data");
        std::fs::create_dir_all(root.join("clients")).unwrap();
        std::fs::copy(demo_folder().join("trainer.toml"), root.join("trainer.toml")).unwrap();
        for entry in std::fs::read_dir(demo_folder().join("clients")).unwrap() {
            let path = entry.unwrap().path();
            std::fs::copy(&path, root.join("clients").join(path.file_name().unwrap())).unwrap();
        }
        (folder, root)
    }

    fn open(folder: tempfile::TempDir, root: PathBuf) -> Self {
        let theme = Theme { depth: ColourDepth::None, background: Background::Dark, ascii: false };
        Self::open_with(folder, root, Box::new(FirstFit), theme)
    }

    fn open_with(
        folder: tempfile::TempDir,
        root: PathBuf,
        planner: Box<dyn PlanMaker>,
        theme: Theme,
    ) -> Self {
        let store = Store::open(&root).unwrap();
        let services = Services::open(store, planner, None).unwrap();
        let shared = Shared {
            theme,
            roster: None,
            clients: BTreeMap::new(),
            trainer: services.trainer().clone(),
            catalogue: services.catalogue(),
            folder: "(the data folder)".to_owned(),
            demo: false,
            brief: false,
            remote: RemoteKeys::default(),
            farewell: None,
            speaks: true,
            notice: None,
            marked: BTreeMap::new(),
            pictures: Pictures::default(),
        };
        let (app, first) = App::new(shared);
        let start = DateTime::parse_from_rfc3339("2026-11-25T18:45:00+00:00").unwrap();
        let mut studio = Self {
            app,
            services,
            bells: 0,
            spoken: Vec::new(),
            quit: false,
            acknowledged: 0,
            asked: None,
            pictures: RefCell::default(),
            passed: Duration::ZERO,
            start,
            _folder: folder,
            root,
        };
        studio.perform(first);
        studio
    }

    /// The program is killed and started again, with its own planner, at the same time of day.
    pub(crate) fn killed(self) -> Self {
        let Self { _folder: folder, root, passed, app, .. } = self;
        let planner = Box::new(Planner::new(Budget::passes(1)));
        let mut studio = Self::open_with(folder, root, planner, app.shared.theme);
        studio.passed = passed;
        studio
    }

    pub(crate) fn now(&self) -> Now {
        let wall = self.start + chrono::TimeDelta::from_std(self.passed).unwrap();
        Now { moment: Moment::new(self.passed), wall }
    }

    fn perform(&mut self, effects: Vec<Effect>) {
        let mut effects = VecDeque::from(effects);
        while let Some(effect) = effects.pop_front() {
            match effect {
                Effect::Bell => self.bells += 1,
                Effect::Speak(utterance) => self.spoken.push((self.passed, utterance)),
                Effect::Quit => self.quit = true,
                effect => {
                    let effect = self.within(effect);
                    if let Effect::Plan(job, Purpose::Main, question) = &effect {
                        self.asked = Some((*job, question.clone()));
                    }
                    let now = self.now().wall;
                    for event in self.services.perform(effect, now) {
                        let is_report = matches!(event, Event::Reply(Reply::Written(Ok(Some(_)))));
                        self.acknowledged += usize::from(is_report);
                        effects.extend(self.app.update(event, self.now()));
                    }
                }
            }
        }
    }

    /// Whatever folder random keys may name, nothing is written outside of the scratch folder.
    fn within(&self, effect: Effect) -> Effect {
        match effect {
            Effect::Rescue(client, session, folder) if !folder.starts_with(&self.root) => {
                Effect::Rescue(client, session, self.root.join("elsewhere"))
            }
            Effect::WritePages(id, wish, _) => {
                let folder = self.root.join("elsewhere");
                std::fs::create_dir_all(&folder).expect("a folder");
                Effect::WritePages(id, wish, Some(folder))
            }
            effect => effect,
        }
    }

    /// Hands a message in, and whatever follows at once.
    pub(crate) fn send(&mut self, event: Event) {
        let effects = self.app.update(event, self.now());
        self.perform(effects);
        if self.app.next_wake(self.now()) == Some(Duration::ZERO) {
            let effects = self.app.update(Event::Woke, self.now());
            self.perform(effects);
        }
    }

    /// Clicks on the first place of these words at 80 by 24, if they are there.
    pub(crate) fn click(&mut self, words: &str) -> &mut Self {
        let screen = self.screen(80, 24);
        let found = screen.lines().enumerate().find_map(|(y, line)| Some((y, line.split_once(words)?.0)));
        if let Some((row, before)) = found {
            let column = unicode_width::UnicodeWidthStr::width(before);
            let at = (u16::try_from(column).unwrap(), u16::try_from(row).unwrap());
            self.send(Event::Click { at, size: (80, 24) });
        }
        self
    }

    /// The list of clients comes in.
    pub(crate) fn list(&mut self) -> &mut Self {
        self.perform(vec![Effect::List]);
        self
    }

    /// The proof of the latest plan comes in.
    pub(crate) fn prove(&mut self) -> &mut Self {
        let (job, request) = self.asked.take().unwrap();
        let plan = services::prove(&request, &|| false);
        self.send(Event::Reply(Reply::Planned { job, purpose: Purpose::Main, plan: plan.map(Box::new) }));
        self
    }

    pub(crate) fn key(&mut self, code: KeyCode) -> &mut Self {
        self.send(Event::Key(KeyEvent::new(code, KeyModifiers::NONE)));
        self
    }

    pub(crate) fn control(&mut self, letter: char) -> &mut Self {
        self.send(Event::Key(KeyEvent::new(KeyCode::Char(letter), KeyModifiers::CONTROL)));
        self
    }

    /// A line, as who listens types it.
    pub(crate) fn words(&mut self, line: &str) -> &mut Self {
        self.send(Event::Words(line.to_owned()));
        self
    }

    /// The client agrees to hands.
    pub(crate) fn agree(&mut self) -> &mut Self {
        self.press("a").enter()
    }

    /// No to all that is left of the health check.
    pub(crate) fn all_no(&mut self) -> &mut Self {
        self.press("N").enter()
    }

    /// Trained as last time.
    pub(crate) fn repeat(&mut self) -> &mut Self {
        self.control('r')
    }

    /// The block is finished here, from a pause.
    pub(crate) fn finish(&mut self) -> &mut Self {
        if self.app.top().mode() == Mode::Live {
            self.press(" ");
        }
        self.press("f")
    }

    pub(crate) fn enter(&mut self) -> &mut Self {
        self.key(KeyCode::Enter)
    }

    pub(crate) fn press(&mut self, letters: &str) -> &mut Self {
        for letter in letters.chars() {
            self.key(KeyCode::Char(letter));
        }
        self
    }

    /// Lets time pass, waking the screens exactly when they ask for it.
    pub(crate) fn wait(&mut self, seconds: u64) -> &mut Self {
        self.wait_millis(1_000 * seconds)
    }

    /// The same in thousandths of a second.
    pub(crate) fn wait_millis(&mut self, milliseconds: u64) -> &mut Self {
        let end = self.passed + Duration::from_millis(milliseconds);
        while let Some(wake) = self.app.next_wake(self.now()).filter(|wake| self.passed + *wake <= end) {
            self.passed += wake;
            self.send(Event::Woke);
        }
        self.passed = end;
        self
    }

    /// Lets time pass unseen, as with the lid closed.
    pub(crate) fn sleep(&mut self, seconds: u64) -> &mut Self {
        self.passed += Duration::from_secs(seconds);
        self.send(Event::Woke);
        self
    }

    /// The cells of the screen.
    pub(crate) fn buffer(&self, columns: u16, rows: u16) -> Buffer {
        let area = Rect::new(0, 0, columns, rows);
        let mut app = self.app.clone();
        std::mem::swap(&mut app.shared.pictures, &mut self.pictures.borrow_mut());
        app.prepare((columns, rows), self.now());
        let mut buf = Buffer::empty(area);
        app.draw(area, &mut buf, self.now());
        self.pictures.replace(app.shared.pictures);
        buf
    }

    /// What is on the screen.
    pub(crate) fn screen(&self, columns: u16, rows: u16) -> String {
        let buf = self.buffer(columns, rows);
        let mut text = String::new();
        for y in 0..rows {
            let mut line = String::new();
            let mut x = 0;
            while x < columns {
                let symbol = buf[(x, y)].symbol();
                line.push_str(symbol);
                x += u16::try_from(unicode_width::UnicodeWidthStr::width(symbol).max(1)).unwrap();
            }
            text.push_str(line.trim_end());
            text.push('\n');
        }
        let tall = crate::tall::words(&text);
        text + &tall
    }

    /// The data folder.
    pub(crate) fn root(&self) -> &std::path::Path {
        &self.root
    }

    /// Writes a file of the data folder, as a hand or another program would.
    pub(crate) fn write(&self, name: &str, text: &str) {
        std::fs::write(self.root.join(name), text).unwrap();
    }

    /// How many reports there are in the files.
    pub(crate) fn reports_on_disk(&self) -> usize {
        let store = Store::open(&self.root).unwrap();
        let roster = store.roster().unwrap();
        assert!(roster.problems.is_empty(), "{:?}", roster.problems);
        let sessions = |id: &ClientId| store.load(id).unwrap().sessions;
        roster.entries.iter().flat_map(|entry| sessions(&entry.id)).map(|session| session.reports.len()).sum()
    }

    /// A client's file.
    pub(crate) fn file(&self, id: &str) -> PathBuf {
        self.root.join("clients").join(format!("{id}.toml"))
    }

    /// A client as the file has it.
    pub(crate) fn client(&self, id: &str) -> Client {
        Store::open(&self.root).unwrap().load(&ClientId::new(id).unwrap()).unwrap()
    }
}
