//! `word quench`: what a word of the trade means, and what else people say.

use clap::Args;

use crate::desk::form::Term;
use crate::desk::reply::{Action, Reply};
use crate::desk::{Context, Refusal, Trouble};

/// Which word.
#[derive(Debug, Args)]
#[command(after_help = "word quench")]
pub struct Word {
    /// The word, or what you call it.
    #[arg(required = true)]
    pub term: Vec<Term>,
}

impl Word {
    pub fn run(&self, context: &Context) -> Result<Reply, Trouble> {
        let term = self.term.iter().map(|Term(word)| word.as_str()).collect::<Vec<_>>().join(" ");
        let Some(found) = context.library.word(&term) else {
            let mut refusal = Refusal::new("term", &term, "It is not on the words page.");
            refusal.line = Some(format!("ask {term}"));
            return Err(refusal.into());
        };
        let mut reply = Reply::new(format!("{}: {}", found.term, found.meaning));
        if !found.also.is_empty() {
            reply = reply.fields([("Also said", found.also.join(", "))]);
        }
        Ok(reply.action(Action::send(format!("Ask about {}", found.term), format!("ask {}", found.term))))
    }
}
