//! Looking without touching: a screen, or a result while it is typed, is made of lines that keep nothing.

use jiff::Timestamp;

use super::form::Form;
use super::tree::Meant;
use super::{Asker, Context, Desk, Outcome, Refusal, Reply, Trouble, outcome, posted};

impl Desk {
    /// A line answered as by [`Desk::answer`], but only where its command just looks; nothing is posted, taken up or told,
    /// however often it is asked.
    pub fn look(&self, asker: &Asker, line: &str, now: Timestamp) -> Outcome {
        outcome(asker, line, self.try_look(asker, line, now))
    }

    fn try_look(&self, asker: &Asker, line: &str, now: Timestamp) -> Result<Reply, Trouble> {
        let context = Context::new(self, asker, now)?;
        match self.tree.read(&context.one_word_engines(line))? {
            Meant::Request(request) if self.only_looks(request.form) => posted::answer(&context, &self.tree, &request),
            _ => Err(Refusal::new("line", line, "It does more than look: send it from the talk.").into()),
        }
    }

    /// Whether a command only works something out, so that its form may show the result while it is filled in.
    pub fn is_sum(&self, form: &Form) -> bool {
        self.of_example(form).is_some_and(|command| command.is_sum())
    }

    fn only_looks(&self, form: &Form) -> bool {
        self.of_example(form).is_some_and(|command| command.only_looks())
    }

    /// The command of a form, with its example's values: those of a line may still be wanting.
    fn of_example(&self, form: &Form) -> Option<super::commands::Command> {
        match self.tree.read(&form.example) {
            Ok(Meant::Request(request)) => self.tree.command(request.form, &request.given).ok(),
            _ => None,
        }
    }
}
