//! Help, made from the command definition.

use super::form::{Form, Kind};
use super::reply::{Action, Block, Cell, Loudness, Reply, Table};

/// Help for everything (no words), for a family, or for one command.
pub fn help(forms: &[Form], words: &str) -> Reply {
    if let Some(form) = forms.iter().find(|f| f.words() == words) {
        return one(form);
    }
    let chosen: Vec<&Form> = forms.iter().filter(|f| words.is_empty() || f.family == words).collect();
    if words.is_empty() { everything(&chosen) } else { family(&chosen) }
}

fn one(form: &Form) -> Reply {
    let fields = form.fields.iter().map(|field| {
        let mut text = format!("{}.", field.help);
        if let Kind::Choice(choices) = &field.kind {
            text.push_str(&format!(" ({})", choices.join(", ")));
        }
        if let Some(default) = &field.default {
            text.push_str(&format!(" [{default}]"));
        }
        if field.needed && field.supplied {
            text.push_str(" A job can supply it.");
        } else if !field.required {
            text.push_str(" May be left out.");
        }
        (field.id.clone(), text)
    });
    Reply::new(format!("{}: {}", form.words(), form.about))
        .text(form.usage())
        .fields(fields.collect::<Vec<_>>())
        .action(Action::form(format!("Fill in {}", form.words()), form.words()))
        .action(Action::send(format!("Try: {}", form.example), form.example.clone()))
}

fn family(forms: &[&Form]) -> Reply {
    let mut reply = match forms.first() {
        Some(first) => Reply::new(format!("{}: {}", first.family, first.family_about)),
        None => Reply::new("Nothing goes by that name"),
    };
    reply = reply.fields(forms.iter().map(|f| (f.words(), f.about.clone())));
    for form in forms {
        reply = reply.action(Action::form(form.words(), form.words()));
    }
    reply
}

fn everything(forms: &[&Form]) -> Reply {
    let rows = forms.iter().map(|form| {
        let mut words = Cell::from(form.words());
        words.line = Some(format!("help {}", form.words()));
        vec![words, Cell::from(form.about.as_str()), Cell::from(form.example.as_str())]
    });
    let table = Table {
        caption: "Commands by family".to_owned(),
        header: ["Command", "What it does", "For example"].map(String::from).to_vec(),
        rows: rows.collect(),
    };
    Reply::new("Ask in your own words, or give a command")
        .text("A line that starts with no command is a question for the library. Values carry their unit: 4.030in, 2.5 thou, 102.36mm; name=value puts one where it belongs. A sum takes 4.030in±0.0001in and says how sure its answer is; job=1 takes what is left out from a job's readings.")
        .block(Block::Table(table))
        .caution(
            Loudness::Note,
            "Reference, not authority: the maker's manual, local codes and the responsible person decide.",
        )
}
