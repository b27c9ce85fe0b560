//! One request and one response of HTTP/1.1 on a connection, with a bound on everything.
//!
//! The request line and the headers are read by `httparse`; bodies have a stated length.

use std::io::{self, Read, Write};
use std::net::TcpStream;

/// Longest head of a request, bytes.
const LONGEST_HEAD: usize = 8 << 10;
/// Longest body, bytes. The values of some thousand controls have a tenth of it.
pub(super) const LONGEST_BODY: usize = 64 << 10;
/// Most headers of a request.
const MOST_HEADERS: usize = 64;

/// A request.
#[derive(Debug)]
pub(super) struct Request {
    pub(super) method: String,
    /// Path without query.
    pub(super) path: String,
    pub(super) host: String,
    /// Page that sent it, where a browser says so.
    pub(super) origin: Option<String>,
    pub(super) body: Vec<u8>,
    /// Whether the connection stays open.
    pub(super) stays: bool,
}

/// A response.
#[derive(Debug)]
pub(super) struct Response {
    pub(super) status: u16,
    pub(super) kind: &'static str,
    pub(super) body: Vec<u8>,
}

/// Why no request could be read.
#[derive(Debug)]
pub(super) enum Unread {
    /// The other side has closed, was silent for too long, or the line broke.
    Gone,
    /// Something was sent that is answered with this status and then no more.
    Refused(u16),
}

impl From<io::Error> for Unread {
    fn from(_: io::Error) -> Self {
        Self::Gone
    }
}

impl Response {
    pub(super) fn new(status: u16, kind: &'static str, body: impl Into<Vec<u8>>) -> Self {
        Self { status, kind, body: body.into() }
    }

    /// A status in plain words.
    pub(super) fn plain(status: u16) -> Self {
        Self::new(status, "text/plain; charset=utf-8", format!("{status} {}\n", words(status)))
    }

    /// Writes it to `stream`. Nothing may be stored, framed, or fetched from elsewhere.
    pub(super) fn send(&self, stream: &mut TcpStream, stays: bool) -> io::Result<()> {
        let head = format!(
            "HTTP/1.1 {} {}\r\nContent-Type: {}\r\nContent-Length: {}\r\nConnection: {}\r\n\
             Cache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nReferrer-Policy: no-referrer\r\n\
             Cross-Origin-Resource-Policy: same-origin\r\nCross-Origin-Opener-Policy: same-origin\r\n\
             Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'; \
             img-src 'self' blob: data:; connect-src 'self'; base-uri 'none'; form-action 'none'; \
             frame-ancestors 'none'\r\n\r\n",
            self.status,
            words(self.status),
            self.kind,
            self.body.len(),
            if stays { "keep-alive" } else { "close" },
        );
        // One write, so that small answers do not wait for an acknowledgement.
        stream.write_all(&[head.as_bytes(), &self.body].concat())
    }
}

fn words(status: u16) -> &'static str {
    match status {
        200 => "OK",
        400 => "Bad Request",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        411 => "Length Required",
        413 => "Content Too Large",
        429 => "Too Many Requests",
        431 => "Request Header Fields Too Large",
        503 => "Service Unavailable",
        _ => "Internal Server Error",
    }
}

/// Reads the next request; `left` holds what was read beyond the one before.
pub(super) fn read(stream: &mut TcpStream, left: &mut Vec<u8>) -> Result<Request, Unread> {
    let mut chunk = [0; 4096];
    loop {
        if let Some((mut request, head, length)) = head(left)? {
            while left.len() < head + length {
                match stream.read(&mut chunk)? {
                    0 => return Err(Unread::Gone),
                    count => left.extend_from_slice(&chunk[..count]),
                }
            }
            request.body = left[head..head + length].to_vec();
            left.drain(..head + length);
            return Ok(request);
        }
        if left.len() > LONGEST_HEAD {
            return Err(Unread::Refused(431));
        }
        match stream.read(&mut chunk)? {
            0 => return Err(Unread::Gone),
            count => left.extend_from_slice(&chunk[..count]),
        }
    }
}

/// The head in `bytes` with its length and that of the body; `None` when there is more to come.
fn head(bytes: &[u8]) -> Result<Option<(Request, usize, usize)>, Unread> {
    let mut headers = [httparse::EMPTY_HEADER; MOST_HEADERS];
    let mut parsed = httparse::Request::new(&mut headers);
    let end = match parsed.parse(bytes) {
        Ok(httparse::Status::Complete(end)) if end <= LONGEST_HEAD => end,
        Ok(httparse::Status::Complete(_)) | Err(httparse::Error::TooManyHeaders) => {
            return Err(Unread::Refused(431));
        }
        Ok(httparse::Status::Partial) => return Ok(None),
        Err(_) => return Err(Unread::Refused(400)),
    };
    let all = |name: &str| {
        let named = parsed.headers.iter().filter(|header| header.name.eq_ignore_ascii_case(name));
        named.map(|header| String::from_utf8_lossy(header.value).trim().to_owned()).collect()
    };
    let one = |name: &str| -> Result<Option<String>, Unread> {
        let mut found: Vec<String> = all(name);
        // Two hosts or two lengths are an attempt at something.
        if found.len() > 1 { Err(Unread::Refused(400)) } else { Ok(found.pop()) }
    };
    if one("transfer-encoding")?.is_some() {
        return Err(Unread::Refused(411));
    }
    let length = match one("content-length")? {
        None => 0,
        Some(text) if text.bytes().all(|byte| byte.is_ascii_digit()) => {
            text.parse::<usize>().map_err(|_| Unread::Refused(413))?
        }
        Some(_) => return Err(Unread::Refused(400)),
    };
    if length > LONGEST_BODY {
        return Err(Unread::Refused(413));
    }
    let closes = one("connection")?.is_some_and(|word| word.eq_ignore_ascii_case("close"));
    let target = parsed.path.unwrap_or_default();
    let request = Request {
        method: parsed.method.unwrap_or_default().to_owned(),
        path: target.split('?').next().unwrap_or_default().to_owned(),
        host: one("host")?.unwrap_or_default(),
        origin: one("origin")?,
        body: Vec::new(),
        stays: parsed.version == Some(1) && !closes,
    };
    Ok(Some((request, end, length)))
}
