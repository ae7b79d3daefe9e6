//! What one posts, seen by all the others: two hundred phones hold the live stream open while fifty readings a second are
//! posted, beside a bare server that pushes as many bytes to as many.
//!
//! Twice: until a phone hears of the post, and until a board has been fetched anew that shows it, as a page does with what it hears.

use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, bail, ensure};
use axum::Router;
use axum::response::Sse;
use axum::response::sse::Event;
use axum::routing::{get, post};
use futures_util::stream;
use gudgeon::config::Config;
use gudgeon::{fronts::web, shop};
use tokio::io::{AsyncBufReadExt, AsyncWriteExt, BufReader};
use tokio::net::{TcpListener, TcpStream};
use tokio::runtime::Runtime;
use tokio::sync::watch;

use super::measure::{Effort, Sheet, Subject, Unit, memory, side_by_side};
use super::wire;

const PHONES: usize = 200;
/// Phones that show a board, where boards are looked at: a shop that is full of people.
const BOARDS: usize = 20;
/// Posts of a round, a second of them.
const POSTS: u32 = 50;
/// Main journals of the demo engine that the readings go round.
const MAINS: u32 = 5;
const BOARD: &str = "/job/1";
/// As long as a head is: a count and a hash.
const HASH: &str = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef";
const PATIENCE: Duration = Duration::from_secs(20);

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let runtime = Runtime::new()?;
    let (address, cookie) = runtime.block_on(serve(folder.path()))?;
    let ask = |path: &'static str, form: String| runtime.block_on(asked(address, path, &cookie, form));
    let (card, board) = (ask("/line", reading(0))?.len(), ask(BOARD, String::new())?.len());
    let before = memory();
    let ours = runtime.block_on(Crowd::gather(address, &cookie))?;
    let between = memory();
    let bare = runtime.block_on(serve_bare("x".repeat(card), "x".repeat(board)))?;
    let bare = runtime.block_on(Crowd::gather(bare, &cookie))?;
    let after = memory();

    let round = |crowd: &Crowd, boards| runtime.block_on(crowd.round(boards));
    let series = side_by_side(
        Effort { rounds: effort.rounds.min(8), ..effort },
        vec![
            Subject::new(format!("live: heard on {PHONES} phones"), || round(&ours, false)),
            Subject::new("bare axum, heard", || round(&bare, false)),
            Subject::new(format!("live: on {BOARDS} boards beside"), || round(&ours, true)),
            Subject::new("bare axum, as many bytes", || round(&bare, true)),
        ],
    )?;
    let [heard, bare_heard, shown, bare_shown] = series.as_slice() else { bail!("four subjects, four series") };
    sheet.compare(Unit::Seconds, heard, bare_heard);
    sheet.compare(Unit::Seconds, shown, bare_shown);
    sheet.note(format!(
        "live: from the post sent, {POSTS} a second, each on disk, to its head heard or its board there ({board} bytes), \
         over loopback, all in one process."
    ));
    if let (Some(before), Some(between), Some(after)) = (before, between, after) {
        let each = |bytes: u64| bytes as f64 / 1024.0 / PHONES as f64;
        sheet.note(format!(
            "live: an open stream adds {:.0} KiB to the process, on bare axum {:.0} KiB, both its ends counted; ours comes first, \
             and into what earlier answers left free.",
            each(between.saturating_sub(before)),
            each(after.saturating_sub(between))
        ));
    }
    runtime.shutdown_background();
    Ok(())
}

/// A reading as a form sends it.
fn reading(turn: u32) -> String {
    format!("line={}", wire::coded(&format!("log main-journal {} 2.4496in 2.4497in job=1", turn % MAINS + 1)))
}

/// The program with its demo shop, as it serves; and the cookie of a tech there.
async fn serve(folder: &std::path::Path) -> Result<(SocketAddr, String)> {
    let config = Config { data: folder.to_owned(), ..Config::default() };
    let desk = Arc::new(shop::open(&config)?);
    let listener = TcpListener::bind("127.0.0.1:0").await?;
    let address = listener.local_addr()?;
    tokio::spawn(async move { web::serve(listener, desk, &config, std::future::pending()).await });
    let origin = format!("http://{address}");
    let door = wire::ask(address, "POST", "/door", &[("Origin", &origin)], "person=tech-1").await;
    let cookie = door.header("set-cookie").and_then(|cookie| cookie.split(';').next());
    Ok((address, cookie.context("the door gives no cookie")?.to_owned()))
}

/// The same with nothing behind it: a post counts one on, and everyone is told.
async fn serve_bare(card: String, board: String) -> Result<SocketAddr> {
    let (count, _) = watch::channel(0_usize);
    let count = Arc::new(count);
    let (live, shown) = (count.clone(), count.clone());
    let stream = async move || {
        let heads = live.subscribe();
        Sse::new(stream::unfold((heads, true), async |(mut heads, first)| {
            if !first {
                heads.changed().await.ok()?;
            }
            let head = format!("{} {HASH}", *heads.borrow_and_update());
            let event = Event::default().event("head").id(&head).data(&head).retry(Duration::from_secs(1));
            Some((Ok::<_, std::convert::Infallible>(event), (heads, false)))
        }))
    };
    let router = Router::new()
        .route("/live", get(stream))
        .route(BOARD, get(async move || format!("<p data-head=\"{} {HASH}\">{board}", *shown.borrow())))
        .route(
            "/line",
            post(async move |_: String| {
                count.send_modify(|count| *count += 1);
                card.clone()
            }),
        );
    let listener = TcpListener::bind("127.0.0.1:0").await?;
    let address = listener.local_addr()?;
    tokio::spawn(async move { axum::serve(listener, router).await });
    Ok(address)
}

/// What a page or a form is answered, as text.
async fn asked(to: SocketAddr, path: &str, cookie: &str, form: String) -> Result<String> {
    let mut stream = TcpStream::connect(to).await?;
    asked_on(&mut stream, to, path, cookie, form).await
}

async fn asked_on(stream: &mut TcpStream, to: SocketAddr, path: &str, cookie: &str, form: String) -> Result<String> {
    let origin = format!("http://{to}");
    let method = if form.is_empty() { "GET" } else { "POST" };
    let headers = [("Cookie", cookie), ("Origin", origin.as_str()), ("X-Card", "1")];
    let answer = wire::ask_on(stream, to, method, path, &headers, form).await;
    ensure!(answer.status == 200, "{path}: {} {}", answer.status, answer.text());
    Ok(answer.text())
}

/// How many posts a phone knew of, and since when.
type Known = Vec<(usize, Instant)>;

/// The phones at one server, and one more that posts.
struct Crowd {
    to: SocketAddr,
    cookie: String,
    heard: Vec<Arc<Mutex<Known>>>,
    shown: Vec<Arc<Mutex<Known>>>,
    /// Whether boards are fetched anew.
    looking: Arc<AtomicBool>,
    /// The last count that anybody heard.
    count: Arc<AtomicUsize>,
}

impl Crowd {
    /// Opens every stream, and waits until each has spoken.
    async fn gather(to: SocketAddr, cookie: &str) -> Result<Self> {
        let mut crowd = Self {
            to,
            cookie: cookie.to_owned(),
            heard: Vec::new(),
            shown: Vec::new(),
            looking: Arc::default(),
            count: Arc::default(),
        };
        for phone in 0..PHONES {
            let mut stream = TcpStream::connect(to).await?;
            let request = format!("GET /live HTTP/1.1\r\nhost: {to}\r\ncookie: {cookie}\r\n\r\n");
            stream.write_all(request.as_bytes()).await?;
            let (news, newest) = watch::channel(0);
            let heard = Arc::new(Mutex::new(Known::new()));
            tokio::spawn(listen(stream, heard.clone(), crowd.count.clone(), news));
            crowd.heard.push(heard);
            if phone < BOARDS {
                let shown = Arc::new(Mutex::new(Known::new()));
                crowd.shown.push(shown.clone());
                let looking = crowd.looking.clone();
                tokio::spawn(look(to, cookie.to_owned(), newest, looking, shown));
            }
        }
        crowd.all_know(&crowd.heard, 0).await?;
        Ok(crowd)
    }

    /// A second of posts: how long each took to every phone, or to every board.
    async fn round(&self, boards: bool) -> Result<Vec<f64>> {
        for known in self.heard.iter().chain(&self.shown) {
            locked(known).clear();
        }
        self.looking.store(boards, Ordering::Release);
        let first = self.count.load(Ordering::Acquire);
        let mut stream = TcpStream::connect(self.to).await?;
        let (began, gap) = (tokio::time::Instant::now(), Duration::from_secs(1) / POSTS);
        let mut sent = Vec::new();
        for turn in 0..POSTS {
            tokio::time::sleep_until(began + gap * turn).await;
            sent.push(Instant::now());
            asked_on(&mut stream, self.to, "/line", &self.cookie, reading(turn)).await?;
        }
        let phones = if boards { &self.shown } else { &self.heard };
        self.all_know(phones, first + sent.len()).await?;
        self.looking.store(false, Ordering::Release);
        let count = self.count.load(Ordering::Acquire);
        ensure!(count == first + sent.len(), "{count} events after {first} and {POSTS} posts");
        let mut took = Vec::new();
        for known in phones {
            let known = locked(known);
            for (number, sent) in (first + 1..).zip(&sent) {
                let seen = known.iter().find(|(count, _)| *count >= number).context("a post that was not seen")?;
                took.push((seen.1 - *sent).as_secs_f64());
            }
        }
        Ok(took)
    }

    /// Waits until each of these phones knows of so many.
    async fn all_know(&self, phones: &[Arc<Mutex<Known>>], count: usize) -> Result<()> {
        let until = Instant::now() + PATIENCE;
        let knows = |known: &Arc<Mutex<Known>>| locked(known).last().is_some_and(|(last, _)| *last >= count);
        while !phones.iter().all(knows) {
            ensure!(
                Instant::now() < until,
                "{} of {} know",
                phones.iter().filter(|one| knows(one)).count(),
                phones.len()
            );
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
        Ok(())
    }
}

fn locked(known: &Mutex<Known>) -> std::sync::MutexGuard<'_, Known> {
    known.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The count that stands before a hash.
fn count_of(head: &str) -> Option<usize> {
    head.split(' ').next()?.parse().ok()
}

/// A phone's ear: notes each head it hears.
async fn listen(stream: TcpStream, heard: Arc<Mutex<Known>>, all: Arc<AtomicUsize>, news: watch::Sender<usize>) {
    let mut lines = BufReader::new(stream).lines();
    while let Ok(Some(line)) = lines.next_line().await {
        if let Some(count) = line.strip_prefix("data: ").and_then(count_of) {
            locked(&heard).push((count, Instant::now()));
            all.fetch_max(count, Ordering::AcqRel);
            news.send_replace(count);
        }
    }
}

/// A phone's board: fetched anew when it hears of something, once at a time.
async fn look(
    to: SocketAddr,
    cookie: String,
    mut newest: watch::Receiver<usize>,
    looking: Arc<AtomicBool>,
    shown: Arc<Mutex<Known>>,
) -> Result<()> {
    let mut stream = TcpStream::connect(to).await?;
    loop {
        newest.changed().await?;
        if !looking.load(Ordering::Acquire) {
            continue;
        }
        let page = asked_on(&mut stream, to, BOARD, &cookie, String::new()).await?;
        let head = page.split("data-head=\"").nth(1).and_then(count_of).context("the board tells no head")?;
        locked(&shown).push((head, Instant::now()));
    }
}
