//! A request written by hand onto a socket, so that a test can send what no browser would.

use std::net::SocketAddr;
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncReadExt, AsyncWrite, AsyncWriteExt};
use tokio::net::TcpStream;

pub struct Answer {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(n, _)| n == name).map(|(_, value)| value.as_str())
    }

    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

/// Sends one request and reads the whole answer. `Host` and `Content-Length` are added unless given.
pub async fn ask(to: SocketAddr, method: &str, path: &str, headers: &[(&str, &str)], body: impl AsRef<[u8]>) -> Answer {
    let mut stream = TcpStream::connect(to).await.unwrap();
    let mut all = vec![("Connection", "close")];
    all.extend(headers);
    ask_on(&mut stream, to, method, path, &all, body).await
}

/// As [`ask`], over a stream that stays open.
pub async fn ask_on(
    stream: &mut (impl AsyncRead + AsyncWrite + Unpin),
    to: SocketAddr,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    body: impl AsRef<[u8]>,
) -> Answer {
    let body = body.as_ref();
    let given = |name: &str| headers.iter().any(|(n, _)| n.eq_ignore_ascii_case(name));
    let mut request = format!("{method} {path} HTTP/1.1\r\n");
    if !given("host") {
        request.push_str(&format!("Host: {to}\r\n"));
    }
    if !body.is_empty() {
        request.push_str(&format!("Content-Length: {}\r\n", body.len()));
        if !given("content-type") {
            request.push_str("Content-Type: application/x-www-form-urlencoded\r\n");
        }
    }
    for (name, value) in headers {
        request.push_str(&format!("{name}: {value}\r\n"));
    }
    request.push_str("\r\n");
    let request = [request.as_bytes(), body].concat();
    tokio::time::timeout(Duration::from_secs(20), exchange(stream, request)).await.expect("an answer within 20 s")
}

async fn exchange(stream: &mut (impl AsyncRead + AsyncWrite + Unpin), request: Vec<u8>) -> Answer {
    // A server that refuses a long body may answer before it has read all of it.
    let _ = stream.write_all(&request).await;
    let _ = stream.flush().await;
    let mut raw = Vec::new();
    loop {
        if let Some(answer) = whole(&raw) {
            return answer;
        }
        if stream.read_buf(&mut raw).await.unwrap_or(0) == 0 {
            panic!("the answer broke off: {}", String::from_utf8_lossy(&raw));
        }
    }
}

fn whole(raw: &[u8]) -> Option<Answer> {
    let end = raw.windows(4).position(|four| four == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&raw[..end]).into_owned();
    let mut lines = head.split("\r\n");
    let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
    let headers: Vec<(String, String)> = lines
        .filter_map(|line| line.split_once(':'))
        .map(|(name, value)| (name.to_lowercase(), value.trim().to_owned()))
        .collect();
    let header = |name: &str| headers.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str());
    let rest = raw.get(end + 4..)?;
    let body = match header("transfer-encoding") {
        Some("chunked") => chunks(rest)?,
        _ => rest.get(..header("content-length").map_or(0, |length| length.parse().unwrap()))?.to_vec(),
    };
    Some(Answer { status, headers, body })
}

/// A body that comes in pieces, once the last is there.
fn chunks(mut rest: &[u8]) -> Option<Vec<u8>> {
    let mut body = Vec::new();
    loop {
        let line = rest.windows(2).position(|two| two == b"\r\n")?;
        let size = usize::from_str_radix(std::str::from_utf8(&rest[..line]).ok()?, 16).ok()?;
        body.extend_from_slice(rest.get(line + 2..line + 2 + size)?);
        if size == 0 {
            return Some(body);
        }
        rest = rest.get(line + 2 + size + 2..)?;
    }
}

/// `text` as a form value.
pub fn coded(text: &str) -> String {
    text.bytes()
        .map(|b| if b.is_ascii_alphanumeric() { char::from(b).to_string() } else { format!("%{b:02X}") })
        .collect()
}
