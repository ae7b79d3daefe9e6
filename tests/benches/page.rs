//! One question through the phone page, beside a bare handler that gives back as many bytes: over loopback, each on one
//! connection that stays open, as a phone keeps it.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::Arc;

use anyhow::{Context as _, Result, bail, ensure};
use axum::Router;
use axum::routing::post;
use gudgeon::config::Config;
use gudgeon::{fronts::web, shop};
use tokio::net::TcpListener;

use super::measure::{Effort, Sheet, Subject, Unit, side_by_side, timed};

/// The line as a form sends it.
const LINE: &str = "line=how+much+crank+end+float";
/// Round trips of each in a round.
const TRIPS: usize = 20;

pub fn run(effort: Effort, sheet: &mut Sheet) -> Result<()> {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build()?;

    let listener = runtime.block_on(TcpListener::bind("127.0.0.1:0"))?;
    let address = listener.local_addr()?;
    let mut config = Config { data: folder.path().to_owned(), ..Config::default() };
    config.page.listen = address;
    let router = web::router(Arc::new(shop::open(&config)?), &config)?;
    runtime.spawn(async move { axum::serve(listener, router).await });
    let mut page = Talk::to(address)?;
    let cookie = page.send("/door", "person=tech-1")?.cookie.context("the door gives no cookie")?;
    page.cookie = cookie;
    let card = page.send("/line", LINE)?;
    ensure!(card.status == 200 && card.body.contains("end float"), "the page does not answer: {card:?}");

    let size = card.body.len();
    let fixed = "x".repeat(size);
    let listener = runtime.block_on(TcpListener::bind("127.0.0.1:0"))?;
    let address = listener.local_addr()?;
    let router = Router::new().route("/line", post(async move |_: String| fixed.clone()));
    runtime.spawn(async move { axum::serve(listener, router).await });
    let mut bare = Talk::to(address)?;
    bare.cookie.clone_from(&page.cookie);

    let series = side_by_side(
        effort,
        vec![
            Subject::new("page: one question", || trips(&mut page, size)),
            Subject::new("bare axum", || trips(&mut bare, size)),
        ],
    )?;
    let [ours, foot] = series.as_slice() else { bail!("two subjects, two series") };
    sheet.compare(Unit::Seconds, ours, foot);
    sheet.note(format!("page: the card of an answer, {size} bytes, over a connection that stays open."));
    runtime.shutdown_background();
    Ok(())
}

fn trips(talk: &mut Talk, size: usize) -> Result<Vec<f64>> {
    (0..TRIPS)
        .map(|_| {
            let (seconds, response) = timed(|| talk.send("/line", LINE));
            let response = response?;
            ensure!(response.status == 200 && response.body.len() == size, "another answer than before: {response:?}");
            Ok(seconds)
        })
        .collect()
}

/// One connection, and what a browser would send along with every form.
struct Talk {
    stream: BufReader<TcpStream>,
    host: SocketAddr,
    cookie: String,
}

#[derive(Debug)]
struct Response {
    status: u16,
    cookie: Option<String>,
    body: String,
}

impl Talk {
    fn to(host: SocketAddr) -> Result<Self> {
        let stream = TcpStream::connect(host)?;
        stream.set_nodelay(true)?;
        Ok(Self { stream: BufReader::new(stream), host, cookie: String::new() })
    }

    /// Posts a form and reads the whole response, whose length the server must tell.
    fn send(&mut self, path: &str, form: &str) -> Result<Response> {
        let Self { host, cookie, .. } = self;
        let request = format!(
            "POST {path} HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\nx-card: 1\r\ncookie: {cookie}\r\n\
             content-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n\r\n{form}",
            form.len(),
        );
        self.stream.get_mut().write_all(request.as_bytes())?;
        let first = self.line()?;
        let status = first.split(' ').nth(1).and_then(|code| code.parse().ok()).context("no status")?;
        let (mut length, mut cookie) = (None, None);
        loop {
            let line = self.line()?;
            let Some((name, value)) = line.split_once(':') else { break };
            match name.to_ascii_lowercase().as_str() {
                "content-length" => length = Some(value.trim().parse()?),
                "set-cookie" => cookie = value.trim().split(';').next().map(str::to_owned),
                _ => {}
            }
        }
        let mut body = vec![0; length.context("no length")?];
        self.stream.read_exact(&mut body)?;
        Ok(Response { status, cookie, body: String::from_utf8(body)? })
    }

    fn line(&mut self) -> Result<String> {
        let mut line = String::new();
        ensure!(self.stream.read_line(&mut line)? > 0, "the server hung up");
        Ok(line.trim_end().to_owned())
    }
}
