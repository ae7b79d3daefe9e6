//! How far a long work is, on one line of a terminal that is gone when the work is done; in a pipe, nothing.
//!
//! Our own few lines: a bar crate would bring its terminal layer and its threads for what is one line, told by whoever works.

use std::cell::RefCell;
use std::io::{IsTerminal, Stderr, Write, stderr};
use std::time::{Duration, Instant};

/// Work that ends sooner shows nothing: a line that only flashes up is noise.
const PATIENCE: Duration = Duration::from_millis(400);
/// How often the line is written again.
const EVERY: Duration = Duration::from_millis(100);

/// The line. It is taken away when this is dropped.
pub struct Progress<W: Write = Stderr> {
    what: &'static str,
    /// Where it is shown, when next, and whether it stands there; none in a pipe.
    line: Option<RefCell<Line<W>>>,
}

struct Line<W> {
    out: W,
    next: Instant,
    stands: bool,
}

impl Progress {
    /// On the standard error, where that is a terminal. `what` is being done: `Reading the library`.
    pub fn new(what: &'static str) -> Self {
        Self::over(what, Some(stderr()).filter(IsTerminal::is_terminal), PATIENCE)
    }
}

impl<W: Write> Progress<W> {
    fn over(what: &'static str, out: Option<W>, patience: Duration) -> Self {
        let line = out.map(|out| RefCell::new(Line { out, next: Instant::now() + patience, stands: false }));
        Self { what, line }
    }

    /// Tells how much is done of how much. Call it as often as you like.
    pub fn tell(&self, done: usize, all: usize) {
        let Some(Ok(mut line)) = self.line.as_ref().map(RefCell::try_borrow_mut) else { return };
        let now = Instant::now();
        if now < line.next {
            return;
        }
        line.next = now + EVERY;
        line.stands = true;
        let percent = (done.min(all) * 100).checked_div(all).unwrap_or(100);
        // A terminal that is gone stops no work.
        let _ = write!(line.out, "\r{}: {percent} %", self.what).and_then(|()| line.out.flush());
    }
}

impl<W: Write> Drop for Progress<W> {
    fn drop(&mut self) {
        let Some(line) = self.line.as_ref().map(RefCell::borrow_mut) else { return };
        let mut line = line;
        if line.stands {
            let blank = " ".repeat(self.what.len() + ": 100 %".len());
            let _ = write!(line.out, "\r{blank}\r").and_then(|()| line.out.flush());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(patience: Duration, tells: &[(usize, usize)]) -> String {
        let mut out = Vec::new();
        let progress = Progress::over("Reading", Some(&mut out), patience);
        tells.iter().for_each(|(done, all)| progress.tell(*done, *all));
        drop(progress);
        String::from_utf8_lossy(&out).into_owned()
    }

    #[test]
    fn a_long_work_is_shown_and_leaves_no_line_behind() {
        assert_eq!(shown(Duration::ZERO, &[(50, 200)]), "\rReading: 25 %\r              \r");
        assert_eq!(shown(Duration::ZERO, &[(0, 0)]), "\rReading: 100 %\r              \r");
        // The second comes within the tenth of a second.
        assert_eq!(shown(Duration::ZERO, &[(1, 2), (2, 2)]), "\rReading: 50 %\r              \r");
    }

    #[test]
    fn a_short_work_and_a_pipe_show_nothing() {
        assert_eq!(shown(Duration::from_secs(3600), &[(1, 2), (2, 2)]), "");
        let progress = Progress::<Vec<u8>>::over("Reading", None, Duration::ZERO);
        progress.tell(1, 2);
        assert!(progress.line.is_none());
    }
}
