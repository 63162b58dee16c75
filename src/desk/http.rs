//! One request from a socket, and one answer to it. Every size and every wait has a limit; what is odd is
//! refused, not guessed at. Knows no page and no key.

use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// Bytes of a request line with its headers.
const MAX_HEAD: usize = 16 * 1024;
/// Headers of a request; browsers send about twenty.
const MAX_HEADERS: usize = 64;
/// Bytes of a target; the longest good one has about 200.
const MAX_TARGET: usize = 2 * 1024;
/// Bytes of a form; a whole section with every text at its longest has less.
pub(super) const MAX_BODY: usize = 512 * 1024;
/// A request is here by then, or it is given up.
pub(super) const REQUEST_WITHIN: Duration = Duration::from_secs(10);
/// Somebody who does not take an answer for so long gets no more of it.
const WRITE_WITHIN: Duration = Duration::from_secs(20);

/// A request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Request {
    pub(super) method: String,
    /// Path and query as they were sent.
    pub(super) target: String,
    /// Names in lower case.
    pub(super) headers: Vec<(String, String)>,
    pub(super) body: Vec<u8>,
}

impl Request {
    /// A header; `None` if it is not there, or more than once, which nobody honest sends.
    pub(super) fn header(&self, name: &str) -> Option<&str> {
        let mut found = self.headers.iter().filter(|(known, _)| known == name);
        let first = found.next()?;
        found.next().is_none().then_some(first.1.as_str())
    }

    /// The header is there at all.
    pub(super) fn has(&self, name: &str) -> bool {
        self.headers.iter().any(|(known, _)| known == name)
    }
}

/// Why there is no request to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Bad {
    /// Whoever it was has gone, or was too slow to be told.
    Gone,
    /// A status that says why.
    Status(u16),
}

/// Reads one request.
pub(super) fn read(stream: &mut TcpStream, within: Duration) -> Result<Request, Bad> {
    let until = Instant::now() + within;
    let mut bytes = Vec::with_capacity(2048);
    let (head_length, mut request) = loop {
        if let Some(found) = head(&bytes)? {
            break found;
        }
        if bytes.len() >= MAX_HEAD {
            return Err(Bad::Status(431));
        }
        more(stream, &mut bytes, MAX_HEAD, until)?;
    };
    let length = body_length(&request)?;
    while bytes.len() < head_length + length {
        more(stream, &mut bytes, head_length + length, until)?;
    }
    // What comes behind it is another request: there is one for each connection.
    request.body = bytes[head_length..head_length + length].to_vec();
    Ok(request)
}

/// Some more bytes, never beyond `most` in all.
fn more(stream: &mut TcpStream, bytes: &mut Vec<u8>, most: usize, until: Instant) -> Result<(), Bad> {
    let left = until.saturating_duration_since(Instant::now());
    if left.is_zero() || stream.set_read_timeout(Some(left)).is_err() {
        return Err(Bad::Status(408));
    }
    let mut part = [0; 4096];
    let room = part.len().min(most.saturating_sub(bytes.len()).max(1));
    match stream.read(&mut part[..room]) {
        Ok(0) => Err(Bad::Gone),
        Ok(count) => {
            bytes.extend_from_slice(&part[..count]);
            Ok(())
        }
        Err(problem) if problem.kind() == ErrorKind::Interrupted => Ok(()),
        Err(problem) if matches!(problem.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => {
            Err(Bad::Status(408))
        }
        Err(_) => Err(Bad::Gone),
    }
}

/// The head of a request and its length; `None` if it is not all here.
fn head(bytes: &[u8]) -> Result<Option<(usize, Request)>, Bad> {
    let mut headers = [httparse::EMPTY_HEADER; MAX_HEADERS];
    let mut parsed = httparse::Request::new(&mut headers);
    let length = match parsed.parse(bytes) {
        Ok(httparse::Status::Complete(length)) => length,
        Ok(httparse::Status::Partial) => return Ok(None),
        Err(httparse::Error::TooManyHeaders) => return Err(Bad::Status(431)),
        Err(_) => return Err(Bad::Status(400)),
    };
    if length > MAX_HEAD {
        return Err(Bad::Status(431));
    }
    let target = parsed.path.unwrap_or_default();
    if target.len() > MAX_TARGET {
        return Err(Bad::Status(414));
    }
    let headers = parsed.headers.iter().map(|header| {
        let value = std::str::from_utf8(header.value).map_err(|_| Bad::Status(400))?;
        Ok((header.name.to_ascii_lowercase(), value.trim().to_owned()))
    });
    let request = Request {
        method: parsed.method.unwrap_or_default().to_owned(),
        target: target.to_owned(),
        headers: headers.collect::<Result<_, _>>()?,
        body: Vec::new(),
    };
    Ok(Some((length, request)))
}

fn body_length(request: &Request) -> Result<usize, Bad> {
    if request.has("transfer-encoding") || request.has("expect") {
        return Err(Bad::Status(400));
    }
    if !request.has("content-length") {
        return Ok(0);
    }
    let digits = request.header("content-length").ok_or(Bad::Status(400))?;
    if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(Bad::Status(400));
    }
    match digits.parse::<usize>() {
        Ok(length) if length <= MAX_BODY => Ok(length),
        _ => Err(Bad::Status(413)),
    }
}

/// Writes events until there are no more.
pub(super) type Events = Box<dyn FnOnce(&mut TcpStream) + Send>;

/// What goes back.
pub(super) struct Response {
    pub(super) status: u16,
    pub(super) kind: &'static str,
    /// Further headers.
    pub(super) headers: Vec<(&'static str, String)>,
    pub(super) body: Vec<u8>,
    /// Goes on after the body until it returns: events.
    pub(super) events: Option<Events>,
}

impl Response {
    pub(super) fn new(status: u16, kind: &'static str, body: impl Into<Vec<u8>>) -> Response {
        Response { status, kind, headers: Vec::new(), body: body.into(), events: None }
    }

    pub(super) fn html(status: u16, body: String) -> Response {
        Response::new(status, "text/html; charset=utf-8", body)
    }

    /// A status and its words, and nothing of what was asked.
    pub(super) fn plain(status: u16) -> Response {
        Response::new(status, "text/plain; charset=utf-8", format!("{status} {}\n", words(status)))
    }

    /// To another page, by GET.
    pub(super) fn see(other: String) -> Response {
        let mut response = Response::plain(303);
        response.headers.push(("Location", other));
        response
    }
}

/// What every answer says: nothing is stored, nothing comes from elsewhere, nobody frames it. The address
/// of the page is told to the page's own server alone.
const ALWAYS: &str = "Cache-Control: no-store\r\n\
    Content-Security-Policy: default-src 'none'; img-src 'self'; style-src 'self'; script-src 'self'; \
    connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'\r\n\
    X-Content-Type-Options: nosniff\r\n\
    X-Frame-Options: DENY\r\n\
    Referrer-Policy: same-origin\r\n\
    Cross-Origin-Resource-Policy: same-origin\r\n\
    Cross-Origin-Opener-Policy: same-origin\r\n\
    Cross-Origin-Embedder-Policy: require-corp\r\n\
    Permissions-Policy: camera=(), microphone=(), geolocation=(), usb=()\r\n\
    Connection: close\r\n";

/// Writes an answer and closes.
pub(super) fn write(stream: &mut TcpStream, response: Response, with_body: bool) {
    let Response { status, kind, headers, body, events } = response;
    let mut head = format!("HTTP/1.1 {status} {}\r\n{ALWAYS}Content-Type: {kind}\r\n", words(status));
    for (name, value) in headers {
        // A line break in a value would begin another header.
        let value: String = value.chars().filter(|c| !c.is_control()).collect();
        head.push_str(&format!("{name}: {value}\r\n"));
    }
    if events.is_none() {
        head.push_str(&format!("Content-Length: {}\r\n", body.len()));
    }
    head.push_str("\r\n");
    let body: &[u8] = if with_body { &body } else { &[] };
    let _ = stream.set_write_timeout(Some(WRITE_WITHIN));
    let sent = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(body));
    if let (Ok(()), Some(events), true) = (sent, events, with_body) {
        events(stream);
    }
    let _ = stream.flush();
    // What was not read would make the system take the answer back from somebody who is still reading it.
    let _ = stream.shutdown(std::net::Shutdown::Write);
    let _ = stream.set_read_timeout(Some(Duration::from_millis(200)));
    let mut rest = [0; 4096];
    for _ in 0..64 {
        if !matches!(stream.read(&mut rest), Ok(count) if count > 0) {
            break;
        }
    }
}

fn words(status: u16) -> &'static str {
    match status {
        200 => "OK",
        204 => "No Content",
        303 => "See Other",
        400 => "Bad Request",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        408 => "Request Timeout",
        409 => "Conflict",
        413 => "Content Too Large",
        414 => "URI Too Long",
        421 => "Misdirected Request",
        422 => "Unprocessable Content",
        431 => "Request Header Fields Too Large",
        500 => "Internal Server Error",
        503 => "Service Unavailable",
        _ => "Status",
    }
}
