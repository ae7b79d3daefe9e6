//! The program itself: `serve` in the network and `people` beside it, and what its log keeps to itself.

use std::io::Read as _;
use std::net::{SocketAddr, TcpListener};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use super::client::Client;
use crate::browser::wire;

struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn program(data: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_gudgeon"));
    command.arg("--data").arg(data).current_dir(data);
    command
}

/// `gudgeon people …`: its exit code, and what it said.
fn people(data: &Path, words: &[&str]) -> (Option<i32>, String) {
    let output = program(data).arg("people").args(words).output().unwrap();
    let said = [output.stdout, output.stderr].map(|part| String::from_utf8(part).unwrap()).concat();
    (output.status.code(), said)
}

fn code_in(said: &str) -> String {
    let line = said.lines().find(|line| line.starts_with("Code for ")).unwrap_or_else(|| panic!("no code: {said}"));
    line.split(": ").nth(1).unwrap().replace(' ', "")
}

#[tokio::test]
async fn codes_and_keys_are_in_no_log_and_nothing_falls_back_to_plain_http() {
    let folder = tempfile::tempdir().unwrap();
    let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    let log = std::fs::File::create(folder.path().join("log")).unwrap();
    let running = program(folder.path())
        .args(["serve", "--lan", "--listen", &format!("127.0.0.1:{port}")])
        .env("GUDGEON_LOG", "trace")
        .stdout(log.try_clone().unwrap())
        .stderr(log)
        .stdin(Stdio::null())
        .spawn()
        .map(Running)
        .unwrap();
    let to = SocketAddr::from(([127, 0, 0, 1], port));
    for _ in 0..600 {
        if std::net::TcpStream::connect(to).is_ok() {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    // It listens before it answers; when it does, the certificate is there.
    assert_eq!(wire::ask(to, "GET", "/", &[], "").await.status, 307);
    let client = Client::trusting(to, Some(&folder.path().join("tls/authority.pem")));

    let (exit, said) = people(folder.path(), &["invite", "lead"]);
    assert_eq!(exit, Some(0), "{said}");
    let first = code_in(&said);
    let lead = client.join(&first, "bench").await;
    let invited = client.post("/people/invite", &lead, "person=apprentice-2").await.text();
    let second = invited.split("class=\"code\">").nth(1).unwrap().split('<').next().unwrap().to_owned();
    let apprentice = client.join(&second.replace(' ', ""), "pocket").await;
    assert_eq!(client.post("/door", "", "code=WRNG2345").await.status, 403);
    assert_eq!(client.get("/", &apprentice).await.status, 200);

    let (exit, said) = people(folder.path(), &["list"]);
    assert!(exit == Some(0) && said.contains("apprentice-2, apprentice\n  device 2: pocket"), "{said}");
    assert_eq!(people(folder.path(), &["remove", "nobody"]).0, Some(2));
    assert_eq!(people(folder.path(), &["remove", "lead", "--device", "2"]).0, Some(2), "it is not the lead's");
    let (exit, said) = people(folder.path(), &["remove", "apprentice-2"]);
    assert_eq!(exit, Some(0), "{said}");
    assert_eq!(client.get("/", &apprentice).await.status, 303, "out at once, from another program");
    let (exit, said) = people(folder.path(), &["invite", "Lead"]);
    assert!(exit == Some(2) && said.contains("looks like “lead”"), "{said}");

    drop(running);
    let mut text = String::new();
    std::fs::File::open(folder.path().join("log")).unwrap().read_to_string(&mut text).unwrap();
    assert!(text.contains("SHA-256") && text.contains("a device joined") && !text.contains("http://"), "{text}");
    let value = |cookie: &str| cookie.split_once('=').unwrap().1.to_owned();
    let (halves, joined) = (second.clone(), second.replace(' ', ""));
    for secret in [first, halves, joined, "WRNG2345".to_owned(), value(&lead), value(&apprentice)] {
        assert!(!text.contains(&secret), "the log holds a secret");
    }
    for kept in std::fs::read_dir(folder.path()).unwrap() {
        let path = kept.unwrap().path();
        if path.is_file() {
            let bytes = std::fs::read(&path).unwrap();
            let key = value(&lead);
            assert!(!bytes.windows(key.len()).any(|part| part == key.as_bytes()), "{} holds a key", path.display());
        }
    }
}

#[test]
fn without_a_certificate_it_does_not_start() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("tls")).unwrap();
    std::fs::write(folder.path().join("tls/authority.pem"), "broken").unwrap();
    let output = program(folder.path()).args(["serve", "--lan", "--listen", "127.0.0.1:0"]).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(said.contains("authority.key"), "{said}");
}
