//! The sources as the compiler's lexer sees them: without comments, strings kept whole, tests taken out.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use proc_macro2::{Delimiter, Group, TokenStream, TokenTree};

/// A name brought in by `use`, or a path that is written out.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Route {
    /// The module that it stands in, from the root of the crate.
    pub(super) module: Vec<String>,
    /// Its parts.
    pub(super) parts: Vec<String>,
    /// The name that a `use` gives it.
    pub(super) alias: Option<String>,
    /// Whether a `use` passes it on to others.
    pub(super) public: bool,
}

/// A function and how many lines it takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Function {
    pub(super) name: String,
    pub(super) lines: usize,
}

/// One file below `src`.
#[derive(Debug)]
pub(super) struct Source {
    /// Relative to the root.
    pub(super) path: PathBuf,
    /// Its place in the crate.
    pub(super) module: Vec<String>,
    /// What `use` brings in.
    pub(super) uses: Vec<Route>,
    /// Paths of two parts or more outside `use`.
    pub(super) routes: Vec<Route>,
    /// Every word outside `use`.
    pub(super) words: BTreeSet<String>,
    /// Types that are defined here.
    pub(super) types: Vec<String>,
    pub(super) functions: Vec<Function>,
    /// Fields of structures as `name: Type`, as far as the type is one word.
    pub(super) fields: Vec<String>,
    /// What a type derives, as `Type: Trait`.
    pub(super) derives: Vec<String>,
    /// The code as text, one blank between words, tests taken out.
    pub(super) code: String,
}

pub(super) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file below `folder` with that ending, sorted, relative to the root.
pub(super) fn files(folder: &str, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![root().join(folder)];
    while let Some(folder) = open.pop() {
        let Ok(entries) = fs::read_dir(&folder) else {
            continue;
        };
        for entry in entries {
            let path = entry.expect("a folder of the repository can be listed").path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|found| found == ending) {
                found.push(path.strip_prefix(root()).expect("below the root").to_path_buf());
            }
        }
    }
    found.sort();
    found
}

pub(super) fn text_of(path: &Path) -> String {
    fs::read_to_string(root().join(path)).expect("a text file of the repository can be read")
}

impl Source {
    /// All of `src`, but for the two roots of the crate.
    pub(super) fn all() -> &'static [Self] {
        static ALL: LazyLock<Vec<Source>> = LazyLock::new(|| {
            let below = files("src", "rs").into_iter();
            let rooms = below.filter(|path| path.components().count() > 2 || !is_a_root(path));
            rooms.map(|path| Source::read(&path, &text_of(&path))).collect()
        });
        &ALL
    }

    /// Reads a source text as that of a file.
    pub(super) fn read(path: &Path, text: &str) -> Self {
        let tokens: TokenStream = text.parse().unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let module: Vec<String> =
            path.with_extension("").iter().skip(1).map(|part| part.to_string_lossy().into_owned()).collect();
        let mut source = Self {
            path: path.to_owned(),
            module: module.clone(),
            uses: Vec::new(),
            routes: Vec::new(),
            words: BTreeSet::new(),
            types: Vec::new(),
            functions: Vec::new(),
            fields: Vec::new(),
            derives: Vec::new(),
            code: String::new(),
        };
        source.walk(&mut module.clone(), tokens, true);
        source
    }

    /// The room that it belongs to.
    pub(super) fn room(&self) -> &str {
        &self.module[0]
    }

    /// Its path with `/` on every system.
    pub(super) fn name(&self) -> String {
        self.path.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/")
    }

    /// Whether it names a word, a macro such as `print!`, or a path such as `std::fs`, groups of `use` included.
    pub(super) fn says(&self, word: &str) -> bool {
        if let Some(name) = word.strip_suffix('!') {
            return format!(" {} ", self.code).contains(&format!(" {name} ! "));
        }
        let wanted: Vec<&str> = word.split("::").filter(|part| !part.is_empty()).collect();
        let leads = |route: &Route| {
            let parts = route.parts.iter().map(String::as_str).collect::<Vec<_>>();
            parts.windows(wanted.len()).any(|window| window == wanted)
        };
        self.uses.iter().chain(&self.routes).any(leads)
            || (wanted.len() == 1 && self.words.contains(wanted[0]))
    }

    fn walk(&mut self, module: &mut Vec<String>, tokens: TokenStream, items: bool) {
        let trees: Vec<TokenTree> = tokens.into_iter().collect();
        let (mut at, mut public, mut derived) = (0, false, Vec::new());
        while at < trees.len() {
            match &trees[at] {
                TokenTree::Punct(sign) if sign.as_char() == '#' => {
                    let attribute = trees.get(at + 1).map(ToString::to_string).unwrap_or_default();
                    let inside: String = attribute.split_whitespace().collect();
                    if inside == "[cfg(test)]" || inside == "[cfg(fuzzing)]" {
                        at = behind_item(&trees, at + 2);
                        continue;
                    }
                    if let Some(list) = inside.strip_prefix("[derive(") {
                        derived.extend(list.trim_end_matches(")]").split(',').map(str::to_owned));
                    }
                    self.code.push('#');
                }
                TokenTree::Ident(word) if word == "use" && !is(&trees, at + 1, '<') => {
                    let end = (at..trees.len()).find(|end| is(&trees, *end, ';')).unwrap_or(trees.len());
                    self.read_use(module, &trees[at + 1..end], &[], public);
                    self.say(&trees[at..end].iter().cloned().collect::<TokenStream>().to_string());
                    at = end;
                }
                TokenTree::Ident(word) => {
                    let word = word.to_string();
                    public = word == "pub" || (public && word != "fn" && word != "mod");
                    self.say(&word);
                    if word == "mod"
                        && let (Some(TokenTree::Ident(name)), Some(TokenTree::Group(body))) =
                            (trees.get(at + 1), trees.get(at + 2))
                    {
                        module.push(name.to_string());
                        self.walk(module, body.stream(), items);
                        module.pop();
                        at += 3;
                        continue;
                    }
                    if items {
                        self.read_item(&word, &trees, at, &mut derived);
                    }
                    self.read_function(&word, &trees, at);
                    at = self.read_route(module, &trees, at);
                    self.words.insert(word);
                    continue;
                }
                TokenTree::Group(group) => {
                    let macro_body = at >= 1 && is(&trees, at - 1, '!');
                    self.say(opening(group.delimiter()));
                    self.walk(module, group.stream(), items && macro_body);
                    self.say(closing(group.delimiter()));
                }
                other => self.say(&other.to_string()),
            }
            if is(&trees, at, ';') {
                public = false;
            }
            at += 1;
        }
    }

    fn say(&mut self, word: &str) {
        let joins = self.code.ends_with(':') && word == ":" && !self.code.ends_with("::");
        if !joins {
            self.code.push(' ');
        }
        self.code.push_str(word);
    }

    /// A type, its fields and what it derives.
    fn read_item(&mut self, word: &str, trees: &[TokenTree], at: usize, derived: &mut Vec<String>) {
        // Macros define ids and quantities; they take the name first.
        if let (true, Some(TokenTree::Group(group))) =
            (word == "word_id" || word == "bounded", trees.get(at + 2))
        {
            let name = group.stream().into_iter().find(|tree| matches!(tree, TokenTree::Ident(_)));
            self.types.extend(name.map(|name| name.to_string()));
        }
        let Some(TokenTree::Ident(name)) = trees.get(at + 1) else { return };
        if matches!(word, "struct" | "enum" | "trait" | "union" | "type") {
            self.types.push(name.to_string());
            self.derives.extend(derived.drain(..).map(|derive| format!("{name}: {derive}")));
        }
        if word == "struct" {
            let fields: Vec<TokenTree> = body_of(&trees[at..]).into_iter().flat_map(Group::stream).collect();
            for at in 0..fields.len().saturating_sub(3) {
                if let (TokenTree::Ident(field), true, TokenTree::Ident(kind)) =
                    (&fields[at], is(&fields, at + 1, ':'), &fields[at + 2])
                {
                    self.fields.push(format!("{name}.{field}: {kind}"));
                }
            }
        }
    }

    fn read_function(&mut self, word: &str, trees: &[TokenTree], at: usize) {
        let Some(TokenTree::Ident(name)) = trees.get(at + 1).filter(|_| word == "fn") else { return };
        if let Some(body) = body_of(&trees[at..]) {
            let lines = body.span_close().end().line - name.span().start().line + 1;
            self.functions.push(Function { name: name.to_string(), lines });
        }
    }

    /// Reads a path as far as it goes; gives the place behind it.
    fn read_route(&mut self, module: &[String], trees: &[TokenTree], at: usize) -> usize {
        let mut parts = Vec::new();
        let mut next = at;
        while let Some(TokenTree::Ident(part)) = trees.get(next) {
            parts.push(part.to_string());
            next += 1;
            if !(is(trees, next, ':') && is(trees, next + 1, ':')) {
                break;
            }
            if !matches!(trees.get(next + 2), Some(TokenTree::Ident(_))) {
                break;
            }
            next += 2;
        }
        for part in parts.iter().skip(1) {
            self.say("::");
            self.say(part);
        }
        if parts.len() > 1 {
            self.routes.push(Route { module: module.to_vec(), parts, alias: None, public: false });
        }
        next
    }

    fn read_use(&mut self, module: &[String], trees: &[TokenTree], before: &[String], public: bool) {
        for branch in trees.split(|tree| matches!(tree, TokenTree::Punct(sign) if sign.as_char() == ',')) {
            let mut parts = before.to_vec();
            let mut alias = None;
            let mut words = branch.iter().peekable();
            while let Some(tree) = words.next() {
                match tree {
                    TokenTree::Ident(word) if word == "as" => {
                        alias = words.next().map(ToString::to_string);
                    }
                    TokenTree::Ident(word) if word == "self" && !parts.is_empty() => {}
                    TokenTree::Ident(word) => parts.push(word.to_string()),
                    TokenTree::Group(group) => {
                        let inside: Vec<TokenTree> = group.stream().into_iter().collect();
                        self.read_use(module, &inside, &parts, public);
                        parts.clear();
                    }
                    _ => {}
                }
            }
            if !parts.is_empty() && !branch.is_empty() {
                let alias = alias.or_else(|| parts.last().cloned());
                self.uses.push(Route { module: module.to_vec(), parts, alias, public });
            }
        }
    }
}

fn is_a_root(path: &Path) -> bool {
    path.ends_with("main.rs") || path.ends_with("lib.rs")
}

fn is(trees: &[TokenTree], at: usize, sign: char) -> bool {
    matches!(trees.get(at), Some(TokenTree::Punct(found)) if found.as_char() == sign)
}

/// The body of the item that begins these tokens, where it has one in braces.
fn body_of(trees: &[TokenTree]) -> Option<&Group> {
    match trees.iter().find(|tree| ends_item(tree))? {
        TokenTree::Group(body) => Some(body),
        _ => None,
    }
}

/// The place behind the item that begins at `at`: behind its body, or its semicolon.
fn behind_item(trees: &[TokenTree], at: usize) -> usize {
    trees[at..].iter().position(ends_item).map_or(trees.len(), |end| at + end + 1)
}

fn ends_item(tree: &TokenTree) -> bool {
    match tree {
        TokenTree::Group(group) => group.delimiter() == Delimiter::Brace,
        TokenTree::Punct(sign) => sign.as_char() == ';',
        _ => false,
    }
}

const fn opening(delimiter: Delimiter) -> &'static str {
    match delimiter {
        Delimiter::Brace => "{",
        Delimiter::Bracket => "[",
        Delimiter::Parenthesis => "(",
        Delimiter::None => "",
    }
}

const fn closing(delimiter: Delimiter) -> &'static str {
    match delimiter {
        Delimiter::Brace => "}",
        Delimiter::Bracket => "]",
        Delimiter::Parenthesis => ")",
        Delimiter::None => "",
    }
}
