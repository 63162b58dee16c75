//! Who may ask: only our own pages, in a browser of this computer, opened with the address that was printed.
//!
//! Pure. A foreign page that reaches the port by a name of its own is stopped by the host, a foreign page
//! that sends a request here by its origin, and another user of this computer by the key.

use super::http::Request;

/// What is known only to whoever was told the address.
#[derive(Debug, Clone)]
pub(super) struct Address {
    /// The port.
    pub(super) port: u16,
    /// 128 bits in hex.
    pub(super) key: String,
}

impl Address {
    /// Where the first page is.
    pub(super) fn url(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.key)
    }

    fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }
}

/// A request that may be answered: what is asked for, below the key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Asked {
    pub(super) is_post: bool,
    /// The parts of the path behind the key, decoded.
    pub(super) path: Vec<String>,
    /// The query, decoded.
    pub(super) query: Vec<(String, String)>,
    /// The form that was sent, decoded.
    pub(super) form: Vec<(String, String)>,
    /// The page's own script asks.
    pub(super) is_script: bool,
}

impl Asked {
    /// The first value of a name in the form.
    pub(super) fn field(&self, name: &str) -> Option<&str> {
        first(&self.form, name)
    }

    /// Every value of a name in the form and in the query.
    pub(super) fn all(&self, name: &str) -> Vec<&str> {
        let pairs = self.form.iter().chain(&self.query);
        pairs.filter(|(known, _)| known == name).map(|(_, value)| value.as_str()).collect()
    }

    /// The first value of a name in the query.
    pub(super) fn asks(&self, name: &str) -> Option<&str> {
        first(&self.query, name)
    }
}

fn first<'a>(pairs: &'a [(String, String)], name: &str) -> Option<&'a str> {
    pairs.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
}

/// What is asked for, or the status that refuses it.
pub(super) fn admit(request: &Request, address: &Address) -> Result<Asked, u16> {
    if request.header("host") != Some(&address.host()) {
        return Err(421);
    }
    let is_post = match request.method.as_str() {
        "GET" | "HEAD" => false,
        "POST" => true,
        _ => return Err(405),
    };
    let ours = format!("http://{}", address.host());
    let origin = request.has("origin").then(|| request.header("origin").unwrap_or_default());
    let site = request.has("sec-fetch-site").then(|| request.header("sec-fetch-site").unwrap_or_default());
    // Typed, opened from the terminal, or from our own page.
    let is_from_here = matches!(site, None | Some("same-origin")) || (site == Some("none") && !is_post);
    if !is_from_here || origin.is_some_and(|origin| origin != ours) {
        return Err(403);
    }
    // Whoever changes something must say where it comes from.
    if is_post && origin.is_none() && site != Some("same-origin") {
        return Err(403);
    }
    if !is_post && !request.body.is_empty() {
        return Err(400);
    }
    let (path, query) = request.target.split_once('?').unwrap_or((&request.target, ""));
    let mut parts = path.strip_prefix('/').ok_or(404u16)?.split('/');
    if !is_same(parts.next().unwrap_or_default(), &address.key) {
        return Err(404);
    }
    let path: Option<Vec<String>> = parts.map(|part| decoded(part, false)).collect();
    let path = path.ok_or(400u16)?;
    let is_odd = |part: &String| {
        part == "." || part == ".." || part.contains(['/', '\\', '\0']) || part.chars().any(char::is_control)
    };
    if path.iter().any(is_odd) {
        return Err(404);
    }
    let kind = request.header("content-type").unwrap_or_default();
    let kind = kind.split(';').next().unwrap_or_default().trim();
    if is_post && kind != "application/x-www-form-urlencoded" {
        return Err(400);
    }
    let body = std::str::from_utf8(&request.body).map_err(|_| 400u16)?;
    let form = if is_post { pairs(body).ok_or(400u16)? } else { Vec::new() };
    let is_script = request.has("x-desk");
    Ok(Asked { is_post, path, query: pairs(query).ok_or(400u16)?, form, is_script })
}

/// Compared in the same time wherever they differ.
fn is_same(one: &str, other: &str) -> bool {
    let differ = one.bytes().zip(other.bytes()).fold(0, |differ, (one, other)| differ | (one ^ other));
    one.len() == other.len() && differ == 0
}

/// `a=1&b=2`; `None` if it is not in that form.
fn pairs(text: &str) -> Option<Vec<(String, String)>> {
    text.split('&')
        .filter(|pair| !pair.is_empty())
        .map(|pair| {
            let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
            Some((decoded(name, true)?, decoded(value, true)?))
        })
        .collect()
}

/// Text with `%41` for `A`; `None` if what it means is no text.
fn decoded(text: &str, is_form: bool) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'%' => {
                let digit = |byte: Option<u8>| char::from(byte?).to_digit(16);
                let (high, low) = (digit(rest.next())?, digit(rest.next())?);
                u8::try_from(high * 16 + low).ok()?
            }
            b'+' if is_form => b' ',
            byte => byte,
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    const KEY: &str = "00112233445566778899aabbccddeeff";

    fn asked(method: &str, target: &str, headers: &[(&str, &str)]) -> Result<Asked, u16> {
        let address = Address { port: 4321, key: KEY.to_owned() };
        let headers = headers.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect();
        admit(&Request { method: method.into(), target: target.into(), headers, body: Vec::new() }, &address)
    }

    const HOST: (&str, &str) = ("host", "127.0.0.1:4321");
    const FORM: (&str, &str) = ("content-type", "application/x-www-form-urlencoded");

    #[test]
    fn only_our_own_host_and_key_are_answered() {
        let root = format!("/{KEY}/");
        assert!(asked("GET", &root, &[HOST]).is_ok());
        for host in
            ["evil.example", "localhost:4321", "127.0.0.1", "127.0.0.1:80", "127.0.0.1:4321.evil.example", ""]
        {
            assert_eq!(asked("GET", &root, &[("host", host)]), Err(421), "{host}");
        }
        assert_eq!(asked("GET", &root, &[]), Err(421));
        assert_eq!(asked("GET", &root, &[HOST, HOST]), Err(421), "two hosts");
        for path in [
            "/",
            "",
            "/x/",
            &format!("/{}/", &KEY[1..]),
            &format!("/{KEY}0/"),
            &format!("//{KEY}/"),
            "http://127.0.0.1/",
        ] {
            assert_eq!(asked("GET", path, &[HOST]), Err(404), "{path}");
        }
    }

    #[test]
    fn what_comes_from_another_page_is_refused() {
        let root = format!("/{KEY}/");
        for site in ["cross-site", "same-site", "", "other"] {
            assert_eq!(asked("GET", &root, &[HOST, ("sec-fetch-site", site)]), Err(403), "{site}");
        }
        for origin in ["http://evil.example", "null", "http://127.0.0.1:80", "https://127.0.0.1:4321", ""] {
            assert_eq!(asked("POST", &root, &[HOST, FORM, ("origin", origin)]), Err(403), "{origin}");
            assert_eq!(asked("GET", &root, &[HOST, ("origin", origin)]), Err(403), "{origin}");
        }
        assert_eq!(asked("POST", &root, &[HOST, FORM]), Err(403), "nobody says where it comes from");
        assert_eq!(asked("POST", &root, &[HOST, FORM, ("sec-fetch-site", "none")]), Err(403));
        let ours = ("origin", "http://127.0.0.1:4321");
        assert!(asked("POST", &root, &[HOST, FORM, ours]).is_ok());
        assert_eq!(asked("POST", &root, &[HOST, ours, ("content-type", "text/plain")]), Err(400));
        assert_eq!(asked("POST", &root, &[HOST, FORM, ours, ("sec-fetch-site", "cross-site")]), Err(403));
    }

    #[test]
    fn no_method_but_two_and_no_path_upward() {
        let root = format!("/{KEY}/");
        for method in ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "CONNECT", "get", ""] {
            assert_eq!(asked(method, &root, &[HOST]), Err(405), "{method}");
        }
        for path in ["..", "%2e%2e", "case/../x", "case/%2e%2e/x", "a%2fb", "a%5cb", "a%00b", "%0a"] {
            assert_eq!(asked("GET", &format!("/{KEY}/{path}"), &[HOST]), Err(404), "{path}");
        }
        for path in ["%", "%4", "%zz", "%ff"] {
            assert_eq!(asked("GET", &format!("/{KEY}/{path}"), &[HOST]), Err(400), "{path}");
        }
        let found = asked("GET", &format!("/{KEY}/case/A%2D1?day=2026-11-25&x=a+b"), &[HOST]).expect("good");
        assert_eq!(found.path, ["case", "A-1"]);
        assert_eq!(found.asks("x"), Some("a b"));
    }
}
