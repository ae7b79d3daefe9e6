//! A front in a process of its own: it can be killed, and its processor time is its own.

use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

use gudgeon::record::Record;

use super::server::Server;
use super::shop::{settings, start};
use crate::talks;

const FOLDER: &str = "GUDGEON_TEST_FOLDER";
const API: &str = "GUDGEON_TEST_API";

/// The process; it is killed when this is dropped.
pub struct Process(Child);

impl Process {
    /// Starts one over the record and the outbox in that folder, and waits until it is up and has looked at them.
    pub fn start(server: &Server, folder: &Path) -> Self {
        let before = server.shared.session().identified;
        let child = Command::new(std::env::current_exe().unwrap())
            .args(["discord::process::a_front", "--exact", "--ignored"])
            .env(FOLDER, folder)
            .env(API, &server.api)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        let process = Self(child);
        server.wait("the process", |shared| (shared.session().identified > before).then_some(()));
        server.wait("its commands", |shared| (!shared.commands().is_empty()).then_some(()));
        std::thread::sleep(Duration::from_millis(1_500));
        process
    }

    /// Kills it as a power cut would.
    pub fn kill(mut self) {
        self.0.kill().unwrap();
        self.0.wait().unwrap();
    }

    /// How much of one processor it takes over that time.
    pub fn share(&self, over: Duration) -> f64 {
        let (began, before) = (Instant::now(), self.processor_time());
        std::thread::sleep(over);
        (self.processor_time() - before).as_secs_f64() / began.elapsed().as_secs_f64()
    }

    fn processor_time(&self) -> Duration {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.0.id())).unwrap();
        // After the name in brackets: user and system time are fields 14 and 15, in hundredths of a second on Linux.
        let fields: Vec<&str> = stat.rsplit(')').next().unwrap().split_whitespace().collect();
        let ticks: u64 = fields[11].parse::<u64>().unwrap() + fields[12].parse::<u64>().unwrap();
        Duration::from_millis(ticks * 10)
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Runs only as the child of another test.
#[test]
#[ignore = "started by the tests that want a front in a process of its own"]
fn a_front() {
    let (Ok(folder), Ok(api)) = (std::env::var(FOLDER), std::env::var(API)) else { return };
    let folder = Path::new(&folder);
    let desk = talks::bench_over(Record::open(&folder.join("record.sqlite")).unwrap());
    if desk.is_blank().unwrap() {
        gudgeon::shop::fill_demo(&desk, talks::clock()).unwrap();
    }
    let mut settings = settings(&api);
    settings.review_channel = "lead-bench".to_owned();
    settings.outbox = Some(folder.join("outbox.sqlite"));
    let _running = start(settings, &Arc::new(desk));
    let until = Instant::now() + Duration::from_secs(400);
    while Instant::now() < until {
        std::thread::sleep(Duration::from_millis(50));
    }
}
