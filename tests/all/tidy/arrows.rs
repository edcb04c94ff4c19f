//! Which file uses which, read from `use`, `super::` and paths that are written out.

use std::collections::{BTreeMap, BTreeSet};

use super::sources::{Route, Source};

/// Where a path leads.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Target {
    /// A module as such.
    Module(Vec<String>),
    /// Something that stands in a module's file.
    Item(Vec<String>),
}

/// The files of the crate by their place in it.
struct House<'a> {
    by_module: BTreeMap<&'a [String], &'a Source>,
}

/// For each file the files that it uses.
pub(super) fn arrows(sources: &[Source]) -> BTreeMap<String, BTreeSet<String>> {
    let house = House { by_module: sources.iter().map(|source| (&source.module[..], source)).collect() };
    let uses = |source: &Source| {
        let mut found: BTreeSet<String> = house.used_by(source).into_iter().collect();
        found.remove(&source.name());
        found
    };
    sources.iter().map(|source| (source.name(), uses(source))).collect()
}

/// Groups of files that use each other, directly or by way of others of the group.
pub(super) fn circles(arrows: &BTreeMap<String, BTreeSet<String>>) -> Vec<BTreeSet<String>> {
    let reached: BTreeMap<&str, BTreeSet<&str>> =
        arrows.keys().map(|from| (from.as_str(), reached_from(from, arrows))).collect();
    let mut found: Vec<BTreeSet<String>> = Vec::new();
    for (&file, reaches) in &reached {
        if reaches.contains(file) && found.iter().all(|circle| !circle.contains(file)) {
            let back = |other: &&&str| reached[**other].contains(file);
            found.push(reaches.iter().filter(back).map(|&other| other.to_owned()).collect());
        }
    }
    found
}

fn reached_from<'a>(from: &str, arrows: &'a BTreeMap<String, BTreeSet<String>>) -> BTreeSet<&'a str> {
    let mut reached = BTreeSet::new();
    let mut open: Vec<&str> = vec![from];
    while let Some(file) = open.pop() {
        for next in arrows.get(file).into_iter().flatten() {
            if reached.insert(next.as_str()) {
                open.push(next);
            }
        }
    }
    reached
}

impl House<'_> {
    fn used_by(&self, source: &Source) -> Vec<String> {
        // What is only passed on is not used, unless the file says its name elsewhere, too.
        let used = source.uses.iter().filter(|route| {
            let alias = route.alias.as_deref().unwrap_or_default();
            !route.public || source.words.contains(alias)
        });
        used.chain(&source.routes)
            .filter_map(|route| match self.lead(&route.parts, &route.module, 0)? {
                Target::Item(module) => Some(self.by_module.get(&module[..])?.name()),
                Target::Module(_) => None,
            })
            .collect()
    }

    /// Follows the parts of a path that stands in a module.
    fn lead(&self, parts: &[String], from: &[String], depth: usize) -> Option<Target> {
        if depth > 12 {
            return None;
        }
        let (first, rest) = parts.split_first()?;
        match first.as_str() {
            "crate" => self.descend(Vec::new(), rest, depth),
            "self" => self.descend(from.to_vec(), rest, depth),
            "super" => {
                let supers = parts.iter().take_while(|part| *part == "super").count();
                let base = from.len().checked_sub(supers)?;
                self.descend(from[..base].to_vec(), &parts[supers..], depth)
            }
            _ => {
                let child: Vec<String> = from.iter().chain([first]).cloned().collect();
                if self.by_module.contains_key(&child[..]) {
                    return self.descend(child, rest, depth);
                }
                let source = self.file_of(from)?;
                let route = source.uses.iter().find(|route| route.alias.as_ref() == Some(first))?;
                // `use other::thing as thing` leads out of the crate: its first part is no name of ours.
                (route.parts != parts).then_some(())?;
                match self.lead(&route.parts, &route.module, depth + 1)? {
                    Target::Module(module) => self.descend(module, rest, depth + 1),
                    item @ Target::Item(_) => Some(item),
                }
            }
        }
    }

    fn descend(&self, mut module: Vec<String>, parts: &[String], depth: usize) -> Option<Target> {
        for (at, part) in parts.iter().enumerate() {
            module.push(part.clone());
            if self.by_module.contains_key(&module[..]) {
                continue;
            }
            module.pop();
            // What the module itself has from elsewhere leads on; all else stands in its file.
            let source = self.file_of(&module)?;
            let passed_on = source.uses.iter().find(|route| route.alias.as_ref() == Some(part));
            return match passed_on.and_then(|route| self.lead(&route.parts, &route.module, depth + 1)) {
                Some(Target::Module(module)) => self.descend(module, &parts[at + 1..], depth + 1),
                Some(item) => Some(item),
                None => Some(Target::Item(self.file_module(&module)?)),
            };
        }
        Some(Target::Module(module))
    }

    fn file_of(&self, module: &[String]) -> Option<&Source> {
        (1..=module.len()).rev().find_map(|length| self.by_module.get(&module[..length]).copied())
    }

    fn file_module(&self, module: &[String]) -> Option<Vec<String>> {
        self.file_of(module).map(|source| source.module.clone())
    }
}

/// The rooms that a file names.
pub(super) fn rooms_used(source: &Source) -> BTreeSet<String> {
    let ours = |route: &Route| (route.parts.first()? == "crate").then(|| route.parts.get(1).cloned())?;
    source.uses.iter().chain(&source.routes).filter_map(ours).collect()
}
