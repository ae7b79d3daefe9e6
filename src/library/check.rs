//! What only shows when pages are seen together: two of one name, links that lead nowhere, hold points for no check.

use std::collections::HashMap;
use std::sync::Arc;

use super::asked::anchors;
use super::fault::{Fault, nearest};
use super::leaf::Leaf;
use super::page::{Node, Page};
use crate::engine::plan::Plan;

/// Faults between the leaves, and against the plan they make.
pub(super) fn across(leaves: &[Arc<Leaf>], plan: &Plan) -> Vec<Fault> {
    let mut faults = Vec::new();
    let mut titles: HashMap<String, &str> = HashMap::new();
    for leaf in leaves {
        let title = leaf.page.title.to_lowercase();
        if let Some(first) = titles.insert(title, &leaf.file) {
            let what = format!("the title \"{}\" is also that of {first}", leaf.page.title);
            faults.push(Fault::blemish(&leaf.file, 1, what, "give each page a title of its own"));
        }
    }
    let pages: HashMap<&str, &Leaf> = leaves.iter().map(|leaf| (leaf.page.slug.as_str(), &**leaf)).collect();
    let files: HashMap<&str, &str> = leaves.iter().map(|leaf| (leaf.page.slug.as_str(), leaf.file.as_str())).collect();
    let mut ids: HashMap<&str, &str> = HashMap::new();
    for leaf in leaves {
        engines(leaf, &mut ids, &mut faults);
        without(leaf, plan, &mut faults);
        links(leaf, &files, &mut faults);
        asked(leaf, &pages, &mut faults);
        holds(&leaf.page, plan, &mut faults);
    }
    faults
}

/// Two engines must not share an id: a job would find either. `ids` are those seen so far and their files.
fn engines<'a>(leaf: &'a Leaf, ids: &mut HashMap<&'a str, &'a str>, faults: &mut Vec<Fault>) {
    let Some(engine) = &leaf.engine else { return };
    if let Some(first) = ids.get(engine.id.as_str()) {
        let what = format!("the engine id `{}` is also that of {first}", engine.id);
        faults.push(Fault::blemish(&leaf.file, 1, what, "give each engine an id of its own"));
    } else {
        ids.insert(&engine.id, &leaf.file);
    }
}

/// What an engine is without must be checks of the plan.
fn without(leaf: &Leaf, plan: &Plan, faults: &mut Vec<Fault>) {
    let named = leaf.engine.iter().flat_map(|engine| &engine.without);
    for id in named.filter(|id| !plan.checks().iter().any(|check| check.id == **id)) {
        let remedy = match nearest(id, plan.checks().iter().map(|check| check.id)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "name checks of the measuring plan, as `log` takes them".to_owned(),
        };
        let line =
            leaf.page.front.lines().position(|line| line.trim_start().starts_with("without")).map_or(1, |at| at + 2);
        let what = format!("the engine is without the unknown check `{id}`");
        faults.push(Fault::blemish(&leaf.file, line, what, remedy));
    }
}

/// A link to a page must lead to one; a link elsewhere must be to the web or to mail. `files` are the pages by slug.
fn links(leaf: &Leaf, files: &HashMap<&str, &str>, faults: &mut Vec<Fault>) {
    for link in &leaf.page.links {
        let target = link.target.trim();
        if ["https://", "http://", "mailto:"].iter().any(|scheme| target.starts_with(scheme)) {
            continue;
        }
        let path = target.split('#').next().unwrap_or_default();
        let Some(name) = path.strip_suffix(".md") else {
            if !path.is_empty() {
                let what = format!("the link `{target}` leads to no page");
                faults.push(Fault::blemish(
                    &leaf.file,
                    link.line,
                    what,
                    "link to a page of the shelf by its file name",
                ));
            }
            continue;
        };
        let slug = name.rsplit('/').next().unwrap_or(name).to_lowercase();
        let Some(other) = files.get(slug.as_str()) else {
            let remedy = match nearest(&slug, files.keys().copied()) {
                Some(near) => format!("did you mean `{near}.md`?"),
                None => "link to a page of the shelf by its file name".to_owned(),
            };
            let what = format!("the link `{target}` leads to no page");
            faults.push(Fault::blemish(&leaf.file, link.line, what, remedy));
            continue;
        };
        let right = relative(&leaf.file, other);
        if normal(&leaf.file, path) != **other {
            let what = format!("the link `{target}` does not lead to the page from here");
            faults.push(Fault::blemish(&leaf.file, link.line, what, format!("write `{right}`")));
        }
    }
}

/// What people ask must be answered by a section or row that is there.
fn asked(leaf: &Leaf, pages: &HashMap<&str, &Leaf>, faults: &mut Vec<Fault>) {
    for (line, row) in &leaf.asked {
        // A page that is not there was told as a link.
        let (Some(page), Some(wanted)) = (pages.get(row.page.as_str()), &row.anchor) else { continue };
        let anchors: Vec<String> = page.passages.iter().flat_map(anchors).collect();
        if !anchors.contains(wanted) {
            let remedy = match nearest(wanted, anchors.iter().map(String::as_str)) {
                Some(near) => format!("did you mean `#{near}`?"),
                None => "name a heading or a row of the page, in small letters with hyphens".to_owned(),
            };
            let what = format!("{} has no heading or row `#{wanted}`", page.file);
            faults.push(Fault::blemish(&leaf.file, *line, what, remedy));
        }
    }
}

/// The shelf file a relative path means when it stands in `from`.
fn normal(from: &str, path: &str) -> String {
    let mut parts: Vec<&str> = from.split('/').collect();
    parts.pop();
    for part in path.split('/') {
        match part {
            "." | "" => {}
            ".." => {
                parts.pop();
            }
            part => parts.push(part),
        }
    }
    parts.join("/")
}

/// How to link from one shelf file to another.
fn relative(from: &str, to: &str) -> String {
    let (from, to): (Vec<&str>, Vec<&str>) = (from.split('/').collect(), to.split('/').collect());
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count().min(from.len() - 1).min(to.len() - 1);
    let up = "../".repeat(from.len() - 1 - shared);
    format!("{up}{}", to[shared..].join("/"))
}

/// A hold point must open a check of the measuring plan.
fn holds(page: &Page, plan: &Plan, faults: &mut Vec<Fault>) {
    let items = page.sections.iter().flat_map(|section| &section.nodes).filter_map(|node| match node {
        Node::List { items, .. } => Some(items),
        _ => None,
    });
    for hold in items.flatten().flat_map(|item| &item.holds) {
        if plan.checks().iter().any(|check| check.id == hold.check) {
            continue;
        }
        let remedy = match nearest(&hold.check, plan.checks().iter().map(|check| check.id)) {
            Some(near) => format!("did you mean `log:{near}`?"),
            None => "name a check of the measuring plan after `log:`".to_owned(),
        };
        let what = format!("the hold point names the unknown check `{}`", hold.check);
        faults.push(Fault::blemish(&page.file, hold.line, what, remedy));
    }
}
