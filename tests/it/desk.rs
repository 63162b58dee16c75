//! The desk from outside: bytes on a socket in, bytes back; the case file on the disk afterwards.

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use unguis::diagnostic::{Path as At, SourceText};
use unguis::edit::{self, Change, Value};
use unguis::hash::sha256;

use crate::support::{demo_file, root, scratch, unguis};

/// A desk that runs, in a folder of its own.
struct Desk {
    child: Child,
    dir: tempfile::TempDir,
    port: u16,
    key: String,
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What came back.
struct Answer {
    status: u16,
    head: String,
    body: String,
}

const SECTIONS: [&str; 8] = ["who", "asked", "foot", "plan", "room", "leave", "visits", "close"];

impl Desk {
    fn open() -> Desk {
        let dir = scratch();
        for (from, to) in [("clinic.yaml", "clinic.yaml"), ("routine-adult.yaml", "LFC-0117.yaml")] {
            fs::copy(demo_file(from), dir.path().join(to)).expect("copied");
        }
        Desk::in_folder(dir)
    }

    fn in_folder(dir: tempfile::TempDir) -> Desk {
        Desk::begun(Command::new(env!("CARGO_BIN_EXE_unguis")), dir)
    }

    fn begun(mut program: Command, dir: tempfile::TempDir) -> Desk {
        let mut child = program
            .args(["desk", "--no-open", "--today", "2026-11-25"])
            .arg(dir.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts");
        let mut line = String::new();
        let out = child.stdout.as_mut().expect("it is piped");
        BufReader::new(out).read_line(&mut line).expect("it prints its address");
        let rest = line.trim().strip_prefix("http://127.0.0.1:").expect("an address of this computer");
        let (port, key) = rest.split_once('/').expect("a key in the path");
        let (port, key) = (port.parse().expect("a port"), key.trim_end_matches('/').to_owned());
        Desk { child, dir, port, key }
    }

    fn file(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.file(name)).expect("it is there")
    }

    fn connect(&self) -> TcpStream {
        TcpStream::connect(("127.0.0.1", self.port)).expect("it listens")
    }

    /// Sends bytes as they are.
    fn raw(&self, bytes: &[u8]) -> Answer {
        let mut stream = self.connect();
        // It may refuse before it has read everything.
        let _ = stream.write_all(bytes);
        // Nothing more comes: what is not whole by now is not waited for.
        let _ = stream.shutdown(std::net::Shutdown::Write);
        answer(&mut stream)
    }

    fn send(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &str) -> Answer {
        let mut head = format!("{method} {path} HTTP/1.1\r\n");
        for (name, value) in headers {
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        if !body.is_empty() || method == "POST" {
            head.push_str(&format!("Content-Length: {}\r\n", body.len()));
        }
        self.raw(format!("{head}\r\n{body}").as_bytes())
    }

    fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    fn get(&self, path: &str) -> Answer {
        self.send("GET", &format!("/{}{path}", self.key), &[("Host", &self.host())], "")
    }

    fn post(&self, path: &str, form: &[(&str, &str)]) -> Answer {
        let body: Vec<String> =
            form.iter().map(|(name, value)| format!("{}={}", escaped(name), escaped(value))).collect();
        let origin = format!("http://{}", self.host());
        let headers = [
            ("Host", self.host()),
            ("Origin", origin),
            ("Sec-Fetch-Site", "same-origin".to_owned()),
            ("Content-Type", "application/x-www-form-urlencoded".to_owned()),
        ];
        let headers: Vec<(&str, &str)> =
            headers.iter().map(|(name, value)| (*name, value.as_str())).collect();
        self.send("POST", &format!("/{}{path}", self.key), &headers, &body.join("&"))
    }

    fn hash(&self, name: &str) -> String {
        sha256(&fs::read(self.file(name)).expect("it is there"))
    }
}

fn answer(stream: &mut TcpStream) -> Answer {
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head.split(' ').nth(1).and_then(|status| status.parse().ok()).unwrap_or(0);
    Answer { status, head: head.to_owned(), body: body.to_owned() }
}

fn escaped(text: &str) -> String {
    text.bytes().map(|byte| format!("%{byte:02X}")).collect()
}

#[test]
fn nobody_but_our_own_page_is_answered() {
    let desk = Desk::open();
    let root = format!("/{}/", desk.key);
    let host = desk.host();
    let good = desk.get("/");
    assert_eq!(good.status, 200, "{}", good.head);
    assert!(good.body.contains("HOLLIS"), "the case is on the list");
    let statuses: Vec<(u16, Answer)> = vec![
        (421, desk.send("GET", &root, &[("Host", "evil.example")], "")),
        (421, desk.send("GET", &root, &[("Host", &format!("localhost:{}", desk.port))], "")),
        (421, desk.send("GET", &root, &[], "")),
        (403, desk.send("GET", &root, &[("Host", &host), ("Origin", "http://evil.example")], "")),
        (403, desk.send("GET", &root, &[("Host", &host), ("Origin", "null")], "")),
        (403, desk.send("GET", &root, &[("Host", &host), ("Sec-Fetch-Site", "cross-site")], "")),
        (403, desk.send("GET", &root, &[("Host", &host), ("Sec-Fetch-Site", "same-site")], "")),
        (404, desk.send("GET", "/", &[("Host", &host)], "")),
        (404, desk.send("GET", &format!("/{}/", "0".repeat(32)), &[("Host", &host)], "")),
        (404, desk.send("GET", &format!("/{}/case/LFC-0117/who", &desk.key[..31]), &[("Host", &host)], "")),
        (404, desk.get("/case/../clinic.yaml")),
        (404, desk.get("/case/%2e%2e%2fclinic/who")),
        (404, desk.get("/case/..%5c..%5cetc/who")),
        (404, desk.get("/case/LFC-0117.yaml/who")),
        (404, desk.get("/case/clinic/who")),
        (404, desk.get("/case/LFC-9999/who")),
        (404, desk.get("/case/LFC-0117%00/who")),
        (404, desk.get("/case/LFC-0117/nothing")),
        (404, desk.get("/page/../desk.css")),
        (404, desk.get("/case/LFC-0117/issued/../../register.jsonl")),
        (
            403,
            desk.send(
                "POST",
                &format!("{root}new"),
                &[("Host", &host), ("Content-Type", "application/x-www-form-urlencoded")],
                "reference=X-1",
            ),
        ),
        (
            403,
            desk.send(
                "POST",
                &format!("{root}new"),
                &[
                    ("Host", &host),
                    ("Origin", "http://evil.example"),
                    ("Content-Type", "application/x-www-form-urlencoded"),
                ],
                "reference=X-1",
            ),
        ),
        (404, desk.post("/case/LFC-0117/who", &[])),
        (404, desk.get("/new")),
    ];
    for (at, (status, answer)) in statuses.iter().enumerate() {
        assert_eq!(answer.status, *status, "request {at}: {}", answer.head);
        assert!(!answer.body.contains("HOLLIS") && !answer.body.contains("Hollis"), "request {at}");
    }
    for method in ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "CONNECT"] {
        assert_eq!(desk.send(method, &root, &[("Host", &host)], "").status, 405, "{method}");
    }
    assert!(!desk.file("X-1.yaml").exists());
}

#[test]
fn sizes_and_connections_are_bounded() {
    let desk = Desk::open();
    let host = desk.host();
    let root = format!("/{}/", desk.key);
    let long = "x".repeat(20_000);
    assert_eq!(desk.send("GET", &root, &[("Host", &host), ("X", &long)], "").status, 431);
    let many: Vec<(String, String)> = (0..100).map(|at| (format!("X-{at}"), "1".to_owned())).collect();
    let many: Vec<(&str, &str)> = many.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    assert_eq!(desk.send("GET", &root, &[vec![("Host", host.as_str())], many].concat(), "").status, 431);
    assert_eq!(desk.send("GET", &format!("{root}{}", "y".repeat(4_000)), &[("Host", &host)], "").status, 414);
    let head = format!("POST {root}new HTTP/1.1\r\nHost: {host}\r\n");
    assert_eq!(desk.raw(format!("{head}Content-Length: 99999999999\r\n\r\n").as_bytes()).status, 413);
    assert_eq!(desk.raw(format!("{head}Content-Length: -1\r\n\r\n").as_bytes()).status, 400);
    assert_eq!(
        desk.raw(format!("{head}Content-Length: 1\r\nContent-Length: 2\r\n\r\n").as_bytes()).status,
        400
    );
    assert_eq!(desk.raw(format!("{head}Transfer-Encoding: chunked\r\n\r\n0\r\n\r\n").as_bytes()).status, 400);
    for odd in [
        "\r\n\r\n",
        "GET\r\n\r\n",
        "GET / HTTP/9.9\r\n\r\n",
        "\0\0\0\0\r\n\r\n",
        "GET / HTTP/1.1\r\nHost : x\r\n\r\n",
    ] {
        assert_ne!(desk.raw(odd.as_bytes()).status, 200, "{odd:?}");
    }
    // Clients that never finish what they ask, up to the number of places and far beyond.
    let mut waiting: Vec<TcpStream> = Vec::new();
    for at in 0..200 {
        let mut stream = desk.connect();
        let _ = stream.write_all(b"GET / HT");
        if at == 20 {
            assert_eq!(desk.get("/desk.css").status, 200, "twenty slow ones keep nobody away");
        }
        waiting.push(stream);
    }
    drop(waiting);
    // Their places are free again as soon as the desk has seen that they went.
    let answered = (0..10_000).any(|_| desk.get("/desk.css").status == 200);
    assert!(answered, "it answers again");
}

#[test]
fn it_listens_on_this_computer_alone() {
    let desk = Desk::open();
    let port = format!(":{:04X}", desk.port);
    let mut listening = Vec::new();
    for table in ["/proc/net/tcp", "/proc/net/tcp6"] {
        let Ok(table) = fs::read_to_string(table) else { continue };
        for line in table.lines().skip(1) {
            let columns: Vec<&str> = line.split_whitespace().collect();
            if columns[1].ends_with(&port) && columns[3] == "0A" {
                listening.push(columns[1].to_owned());
            }
        }
    }
    // 127.0.0.1, its bytes turned round as Linux prints them.
    assert_eq!(listening, [format!("0100007F{port}")]);
}

#[test]
fn every_answer_forbids_storing_framing_and_foreign_sources() {
    let desk = Desk::open();
    let all = [
        "/",
        "/desk.css",
        "/desk.js",
        "/icon.svg",
        "/case/LFC-0117/who",
        "/explain/dose-over-limit",
        "/nowhere",
    ];
    for path in all {
        let answer = desk.get(path);
        let head = answer.head.to_lowercase();
        for line in [
            "cache-control: no-store",
            "content-security-policy: default-src 'none';",
            "frame-ancestors 'none'",
            "x-content-type-options: nosniff",
            "referrer-policy: same-origin",
            "cross-origin-resource-policy: same-origin",
        ] {
            assert!(head.contains(line), "{path}: {line}");
        }
        assert!(!head.contains("set-cookie") && !head.contains("access-control"), "{path}");
        for foreign in ["src=\"http", "href=\"http", "src=\"//", "href=\"//", "@import", "url("] {
            assert!(!answer.body.contains(foreign), "{path}: {foreign}");
        }
        let title = answer.body.split("<title>").nth(1).and_then(|rest| rest.split("</title>").next());
        assert!(!title.unwrap_or_default().to_lowercase().contains("hollis"), "{path}");
    }
}

#[test]
fn a_hostile_case_in_every_field_draws_and_runs_nothing() {
    let hostile = "\"'><script>alert(1)</script><img src=x onerror=alert(1)>{{ 7*7 }}{% x %}";
    let text = fs::read_to_string(root().join("cases/infected-after-surgery.yaml")).expect("read");
    // Every field by itself, though the case is written in lines.
    let mut text = unguis::case::unfolded(&text, None).into_owned();
    let reference = match edit::value_at(&text, &At::from("reference")) {
        Some(Value::Text(text) | Value::Bare(text)) => text,
        other => panic!("{other:?}"),
    };
    let places: Vec<At> = edit::values(&text)
        .into_iter()
        .filter(|(path, value)| {
            matches!(value, Value::Text(_) | Value::Bare(_)) && path.to_string() != "reference"
        })
        .map(|(path, _)| path)
        .collect();
    let dir = scratch();
    fs::copy(root().join("cases/clinic.yaml"), dir.path().join("clinic.yaml")).expect("copied");
    // Once in every place, then in the free texts alone, so that the case can be read.
    let mut all = text.clone();
    for path in &places {
        if let Ok(edited) = edit::apply(&all, path, &Change::Set(Value::text(hostile)), &|_| Vec::new()) {
            all = edited;
        }
        let tried = edit::apply(&text, path, &Change::Set(Value::text(hostile)), &|_| Vec::new());
        let source = |text: &str| std::sync::Arc::new(unguis::diagnostic::SourceText::new("x", text));
        text = tried
            .ok()
            .filter(|tried| {
                unguis::case::read_case_with(source(tried), unguis::case::Shelf::Unread).value.is_some()
            })
            .unwrap_or(text);
    }
    let counts = (all.matches("onerror").count(), text.matches("onerror").count());
    assert!(counts.0 > 40 && counts.1 > 10, "{counts:?}");
    fs::write(dir.path().join("a.yaml"), &all).expect("written");
    let desk = Desk::in_folder(dir);
    for version in [all, text] {
        fs::write(desk.file("a.yaml"), version).expect("written");
        let pages = SECTIONS.iter().map(|section| desk.get(&format!("/case/{reference}/{section}")));
        for page in pages.chain([desk.get("/")]) {
            assert_eq!(page.status, 200);
            assert_eq!(page.body.matches("<script").count(), 1, "our own");
            assert!(!page.body.contains("<img src=x"), "a text acted");
        }
        let shown = desk.get(&format!("/case/{reference}/who"));
        assert!(
            shown.body.contains("&lt;script&gt;") || shown.body.contains("&lt;script"),
            "it is shown as text"
        );
    }
}

#[test]
fn an_answer_is_written_alone_and_a_stale_page_writes_nothing() {
    let desk = Desk::open();
    let before = desk.text("LFC-0117.yaml");
    let first = desk.hash("LFC-0117.yaml");
    let save = |hash: &str, value: &str| {
        desk.post(
            "/case/LFC-0117/who/save",
            &[("hash", hash), ("=patient.weight", value), ("=patient.given", "Imogen")],
        )
    };
    let saved = save(&first, "70 kg");
    assert_eq!(saved.status, 303, "{}", saved.body);
    assert_eq!(desk.text("LFC-0117.yaml"), before.replace("weight: 68 kg", "weight: 70 kg"));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = fs::metadata(desk.file("LFC-0117.yaml")).expect("there").permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }
    let stale = save(&first, "71 kg");
    assert_eq!(stale.status, 409);
    assert!(stale.body.contains("was changed meanwhile"), "it is said");
    assert!(
        stale.body.contains("not written: 71 kg") && stale.body.contains("value=\"70 kg\""),
        "what was typed is not lost"
    );
    assert_eq!(desk.text("LFC-0117.yaml"), before.replace("weight: 68 kg", "weight: 70 kg"));
    // Somebody else writes: it is shown, and not overwritten.
    let theirs = before.replace("weight: 68 kg", "weight: 66 kg");
    fs::write(desk.file("LFC-0117.yaml"), &theirs).expect("written");
    assert!(desk.get("/case/LFC-0117/who").body.contains("value=\"66 kg\""));
    assert_eq!(desk.post("/case/LFC-0117/who/undo", &[]).status, 409);
    assert_eq!(desk.text("LFC-0117.yaml"), theirs);
    let now = desk.hash("LFC-0117.yaml");
    assert_eq!(save(&now, "72 kg").status, 303);
    assert_eq!(desk.post("/case/LFC-0117/who/undo", &[]).status, 303);
    assert_eq!(desk.text("LFC-0117.yaml"), theirs);
    assert_eq!(
        desk.post(
            "/case/LFC-0117/who/save",
            &[("hash", &desk.hash("LFC-0117.yaml")), ("=patient.evil", "x")]
        )
        .status,
        422
    );
    assert_eq!(desk.text("LFC-0117.yaml"), theirs);
}

#[test]
fn a_caution_is_answered_with_a_typed_reason_and_name_and_never_without() {
    let desk = Desk::open();
    let before = desk.text("LFC-0117.yaml");
    let hash = desk.hash("LFC-0117.yaml");
    let renamed = desk.post("/case/LFC-0117/who/save", &[("hash", &hash), ("=reference", "LFC-0999")]);
    assert_eq!((renamed.status, desk.text("LFC-0117.yaml")), (422, before.clone()), "the reference stays");
    let accept = |because: &str, by: &str| {
        desk.post(
            "/case/LFC-0117/who/accept",
            &[("hash", &hash), ("rule", "record-incomplete"), ("because", because), ("by", by)],
        )
    };
    for (because, by) in [("", "R. Quill"), ("seen", ""), (" ", " ")] {
        assert_eq!(accept(because, by).status, 422);
        assert_eq!(desk.text("LFC-0117.yaml"), before);
    }
    assert_eq!(accept("seen, and agreed", "R. Quill").status, 303);
    let after = desk.text("LFC-0117.yaml");
    assert!(
        after.contains(
            "accepted:\n  - {rule: record-incomplete, because: \"seen, and agreed\", by: R. Quill}"
        ) || after.contains("- rule: record-incomplete"),
        "{after}"
    );
}

#[test]
fn a_list_of_a_day_is_made_by_the_command_and_opened_here() {
    let desk = Desk::open();
    let made = desk.post("/list/day", &[("date", "2026-11-24")]);
    assert_eq!(made.status, 200, "{}", made.body);
    let link =
        made.body.split("/lists/").nth(1).and_then(|rest| rest.split('"').next()).expect("a link to it");
    let pdf = desk.get(&format!("/lists/{link}"));
    assert!(pdf.status == 200 && pdf.body.starts_with("%PDF"), "{}", pdf.head);
    for odd in ["..%2fregister.jsonl", "register.jsonl", ".."] {
        assert_eq!(desk.get(&format!("/lists/{odd}")).status, 404, "{odd}");
    }
    for odd in ["--out=/tmp/x", "", "soon", "-h"] {
        assert_eq!(desk.post("/list/day", &[("date", odd)]).status, 422, "{odd}");
    }
    assert_eq!(desk.post("/list/all", &[]).status, 404);
}

/// The answers of a case as a form sends them.
fn answers(text: &str) -> Vec<(String, String)> {
    let is_words = |path: &At| path.last_key() == Some("edges");
    let mut form = Vec::new();
    for (path, value) in edit::values(text) {
        let in_list =
            path.segments().last().is_some_and(|last| matches!(last, unguis::diagnostic::Segment::Index(_)));
        match value {
            Value::Text(text) | Value::Bare(text) if !in_list => form.push((format!("={path}"), text)),
            Value::List(items) => {
                let texts = items.into_iter().map(|item| match item {
                    Value::Text(text) | Value::Bare(text) => text,
                    other => panic!("{path}: {other:?}"),
                });
                let texts: Vec<String> = texts.collect();
                if is_words(&path) {
                    form.push((format!("#{path}"), String::new()));
                    form.extend(texts.into_iter().map(|text| (format!("*{path}"), text)));
                } else {
                    form.push((format!("+{path}"), texts.join("\n")));
                }
            }
            _ => {}
        }
    }
    form
}

#[test]
fn the_routine_case_is_filled_in_from_blank_and_issued_as_by_hand() {
    let routine = fs::read_to_string(demo_file("routine-adult.yaml")).expect("read");
    let dir = scratch();
    fs::copy(root().join("cases/clinic.yaml"), dir.path().join("clinic.yaml")).expect("copied");
    let desk = Desk::in_folder(dir);
    assert_eq!(desk.post("/new", &[("reference", "LFC-0117")]).status, 303);
    let form = answers(&routine);
    let hash = desk.hash("LFC-0117.yaml");
    let mut pairs: Vec<(&str, &str)> =
        form.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    pairs.push(("hash", &hash));
    let saved = desk.post("/case/LFC-0117/who/save", &pairs);
    assert_eq!(saved.status, 303, "{}", saved.body);
    let hash = desk.hash("LFC-0117.yaml");
    assert_eq!(desk.post("/case/LFC-0117/who/make/sweep", &[("hash", &hash)]).status, 303);
    let text = desk.text("LFC-0117.yaml");
    let said = |text: &str| -> BTreeMap<String, String> {
        let plain = |value: Value| match value {
            Value::Text(text) | Value::Bare(text) => Some(text),
            _ => None,
        };
        edit::values(text)
            .into_iter()
            .filter_map(|(path, value)| Some((path.to_string(), plain(value)?)))
            .collect()
    };
    assert_eq!(said(&text), said(&routine), "the same is on record");
    let hash = desk.hash("LFC-0117.yaml");
    assert_eq!(desk.post("/case/LFC-0117/close/make/issue", &[("hash", &hash)]).status, 303);
    let page = desk.get("/case/LFC-0117/close");
    assert!(page.body.contains("Done"), "{}", page.body);
    // The same file by the command line gives the same bytes.
    let by_hand = scratch();
    let out = by_hand.path().join("out");
    let ran = unguis([
        "issue",
        "--today",
        "2026-11-25",
        "--out",
        &out.display().to_string(),
        &desk.file("LFC-0117.yaml").display().to_string(),
    ]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let pdfs = |folder: &Path| -> BTreeMap<String, String> {
        let files =
            fs::read_dir(folder.join("LFC-0117")).expect("issued").map(|entry| entry.expect("listed").path());
        let pdfs = files.filter(|file| file.extension().is_some_and(|ending| ending == "pdf"));
        pdfs.map(|file| {
            let name = file.file_name().expect("named").to_string_lossy().into_owned();
            (name, sha256(&fs::read(&file).expect("read")))
        })
        .collect()
    };
    let (here, there) = (pdfs(&desk.file("out")), pdfs(&out));
    assert!(here.len() >= 4 && here == there, "{here:?}\n{there:?}");
}

#[test]
fn a_page_is_shown_as_it_will_print_and_only_its_own() {
    let desk = Desk::open();
    let page = desk.get("/case/LFC-0117/room");
    let sources: Vec<String> = page
        .body
        .split("<img src=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .map(|source| source.trim_start_matches(&format!("/{}", desk.key)).to_owned())
        .collect();
    assert!(sources.len() >= 6, "{sources:?}");
    let svg = desk.get(&sources[0]);
    assert_eq!(svg.status, 200);
    assert!(
        svg.body.starts_with("<svg") && !svg.body.contains("<script") && !svg.body.contains("http://evil")
    );
    assert_eq!(desk.get(&format!("/page/{}.svg", "0".repeat(64))).status, 404);
    // The same page in dots, as many in width as are asked for.
    let dots = |width: &str| desk.get(&sources[0].replace(".svg", &format!("-{width}.png")));
    let png = dots("560");
    assert_eq!(png.status, 200);
    // 560 is 0x230; PNG (third edition), 11.2.1: the width is the first field of IHDR.
    assert!(png.head.contains("image/png") && png.body.contains("PNG\r\n\u{1a}\n\0\0\0\rIHDR\0\0\u{2}0"));
    for odd in ["", "0", "99", "4001", "65536", "-560", "560-560", "1e3", "5%2060"] {
        assert_eq!(dots(odd).status, 404, "{odd}");
    }
    assert_eq!(desk.get(&format!("/page/{}-560.png", "0".repeat(64))).status, 404);
    assert_eq!(desk.get(&sources[0].replace(".svg", "")).status, 404);
}

/// Killed in the middle of writing, again and again: the file is whole each time, as it was or as it was to be.
#[test]
fn a_killed_desk_leaves_a_whole_file() {
    let mut dir = None;
    for round in 0..8u32 {
        let mut desk = match dir.take() {
            None => Desk::open(),
            Some(dir) => Desk::in_folder(dir),
        };
        let before = desk.text("LFC-0117.yaml");
        let hash = desk.hash("LFC-0117.yaml");
        let value = format!("{} kg", 60 + round);
        let mut stream = desk.connect();
        let body = format!("hash={hash}&{}={}", escaped("=patient.weight"), escaped(&value));
        let request = format!(
            "POST /{}/case/LFC-0117/who/save HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: \
             application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
            desk.key,
            body.len(),
            host = desk.host()
        );
        stream.write_all(request.as_bytes()).expect("sent");
        // Some are killed at once, some while they work.
        let mut some = [0; 1];
        for _ in 0..round * 40 {
            std::thread::yield_now();
        }
        if round % 4 == 3 {
            let _ = stream.read(&mut some);
        }
        desk.child.kill().expect("killed");
        desk.child.wait().expect("dead");
        let after = desk.text("LFC-0117.yaml");
        let written =
            edit::apply(&before, &At::from("patient.weight"), &Change::Set(Value::text(&value)), &|_| {
                Vec::new()
            });
        assert!(after == before || Ok(&after) == written.as_ref(), "{after}");
        let kept = std::mem::replace(&mut desk.dir, scratch());
        dir = Some(kept);
    }
}

/// The value of an attribute of a tag.
fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    tag.split(&format!(" {name}=\"")).nth(1)?.split('"').next()
}

fn unescaped(text: &str) -> String {
    let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&#x27;", "'");
    text.replace("&#39;", "'").replace("&#x2F;", "/").replace("&amp;", "&")
}

/// What a browser without a script sends of a screen that nobody touched.
fn untouched(page: &str) -> Vec<(String, String)> {
    let form = page.split("id=\"answers\"").nth(1).expect("a form").split("</form>").next().expect("its end");
    let tags = form.split("<input").skip(1).map(|rest| rest.split('>').next().unwrap_or_default());
    tags.filter(|tag| match attribute(tag, "type") {
        Some("radio" | "checkbox") => tag.contains(" checked"),
        _ => true,
    })
    .filter_map(|tag| {
        Some((unescaped(attribute(tag, "name")?), unescaped(attribute(tag, "value").unwrap_or_default())))
    })
    .collect()
}

/// Every screen of every demo case is sent back as it came: nothing is written. So no field holds anything that
/// the file does not say, and nothing is lost that it does.
#[test]
fn a_screen_that_nobody_touched_writes_nothing() {
    let dir = scratch();
    let mut references = Vec::new();
    for entry in fs::read_dir(root().join("cases")).expect("listed") {
        let path = entry.expect("listed").path();
        if path.extension().is_some_and(|ending| ending == "yaml") {
            let name = path.file_name().expect("named").to_string_lossy().into_owned();
            fs::copy(&path, dir.path().join(&name)).expect("copied");
            let text = fs::read_to_string(&path).expect("read");
            if let Some(Value::Text(reference) | Value::Bare(reference)) =
                edit::value_at(&text, &At::from("reference"))
            {
                references.push((name, reference));
            }
        }
    }
    let desk = Desk::in_folder(dir);
    assert_eq!(desk.post("/new", &[("reference", "LFC-0999")]).status, 303);
    references.push(("LFC-0999.yaml".to_owned(), "LFC-0999".to_owned()));
    assert!(references.len() >= 9);
    for (name, reference) in &references {
        let before = desk.text(name);
        for section in SECTIONS {
            let url = format!("/case/{reference}/{section}");
            let form = untouched(&desk.get(&url).body);
            assert!(form.iter().any(|(name, _)| name == "hash"), "{url}");
            if reference == "LFC-0999" {
                let filled: Vec<_> = form
                    .iter()
                    .filter(|(name, value)| {
                        name.starts_with(['=', '?', '!', '+', '*'])
                            && !value.is_empty()
                            && name != "=reference"
                    })
                    .collect();
                // Of a blank case nothing is filled in, chosen, ticked or dated.
                assert_eq!(filled, Vec::<&(String, String)>::new(), "{url}");
            }
            let form: Vec<(&str, &str)> =
                form.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
            let saved = desk.post(&format!("{url}/save"), &form);
            assert_eq!(saved.status, 303, "{url}: {}", saved.body);
            assert_eq!(desk.text(name), before, "{url}");
        }
    }
    // Nor was anything of the others taken over into the new one.
    let blank = edit::values(&desk.text("LFC-0999.yaml"));
    let texts: Vec<String> = blank
        .iter()
        .filter_map(|(path, value)| match value {
            Value::Text(text) | Value::Bare(text) => Some(format!("{path}: {text}")),
            _ => None,
        })
        .collect();
    assert_eq!(texts, ["reference: LFC-0999"]);
}

#[test]
fn nothing_is_answered_for_anybody() {
    let desk = Desk::open();
    assert_eq!(desk.post("/new", &[("reference", "LFC-0999")]).status, 303);
    let save = |section: &str, form: &[(&str, &str)]| {
        let hash = desk.hash("LFC-0999.yaml");
        desk.post(&format!("/case/LFC-0999/{section}/save"), &[&[("hash", hash.as_str())][..], form].concat())
            .status
    };
    let stands = |path: &str| edit::value_at(&desk.text("LFC-0999.yaml"), &At::from(path));
    // What is planned is not done.
    assert_eq!(save("plan", &[("=plan.L1.nail", "partial"), ("=plan.L1.matrix", "phenol")]), 303);
    assert_eq!(save("plan", &[("edge", "plan.L1.edges lateral")]), 303);
    assert!(stands("plan.L1.edges[0]").is_some() && stands("operation.toes.L1").is_none());
    let room = desk.get("/case/LFC-0999/room").body;
    assert!(
        room.contains("aria-pressed=\"false\"") && !room.contains("aria-pressed=\"true\""),
        "a blank drawing"
    );
    assert!(desk.get("/case/LFC-0999/plan").body.contains("aria-pressed=\"true\""));
    // A signature is dated by nobody but whoever types it: the clock does not.
    assert_eq!(save("plan", &[("=consent.taken_by", "quill"), ("=consent.by", "patient")]), 303);
    assert!(stands("consent.signed").is_none() && stands("consent.confirmed").is_none());
    for path in [
        "consent.signed",
        "consent.confirmed",
        "patient.born",
        "operation.date",
        "operation.nothing",
        "booked.at",
    ] {
        assert_eq!(save("plan", &[("now", path)]), 422, "{path}");
        assert!(!matches!(stands(path), Some(Value::Text(_) | Value::Bare(_))), "{path}");
    }
    // No button answers more than what is written on it.
    for section in SECTIONS {
        let page = desk.get(&format!("/case/LFC-0117/{section}")).body;
        let buttons =
            page.split("<button").skip(1).map(|rest| rest.split("</button>").next().unwrap_or_default());
        for button in buttons {
            let tag = button.split('>').next().unwrap_or_default();
            let words = button.split('>').next_back().unwrap_or_default();
            let is_known = match attribute(tag, "name") {
                Some("now" | "edge") => true,
                Some(_) => false,
                None => [
                    "Save",
                    "Undo the last change",
                    "Take the unanswered lines out of the file",
                    "Enter this answer",
                    "Enter it",
                    "Make drafts",
                    "Issue what is not held back",
                    "Leave it out",
                ]
                .contains(&words),
            };
            assert!(is_known, "{section}: {button}");
        }
        // Nobody's reason and nobody's name stand in a field for them.
        for tag in page.split("<input").skip(1).map(|rest| rest.split('>').next().unwrap_or_default()) {
            if matches!(attribute(tag, "name"), Some("because" | "by")) {
                assert_eq!(attribute(tag, "value"), None, "{section}: {tag}");
            }
        }
    }
}

#[test]
fn a_stop_is_on_every_screen_and_what_was_issued_stays_as_it_was() {
    let desk = Desk::open();
    let issue = || desk.post("/case/LFC-0117/close/make/issue", &[("hash", &desk.hash("LFC-0117.yaml"))]);
    assert_eq!(issue().status, 303);
    let pdfs = || -> BTreeMap<PathBuf, String> {
        let files = fs::read_dir(desk.file("out/LFC-0117"))
            .expect("issued")
            .map(|entry| entry.expect("listed").path());
        files.map(|file| (file.clone(), sha256(&fs::read(&file).expect("read")))).collect()
    };
    let before = pdfs();
    assert!(before.len() >= 4);
    // Far over the limit of the anaesthetic.
    let hash = desk.hash("LFC-0117.yaml");
    let form = [("hash", hash.as_str()), ("=operation.toes.L1.injected", "22 ml")];
    assert_eq!(desk.post("/case/LFC-0117/room/save", &form).status, 303);
    for section in SECTIONS {
        let page = desk.get(&format!("/case/LFC-0117/{section}")).body;
        assert!(
            page.contains("explain/dose-over-limit") && page.contains("<strong>stop</strong>"),
            "{section}"
        );
        assert!(page.contains("open)</span>"), "{section}: counted at its section");
        assert!(!page.contains("Answer dose-over-limit"), "{section}: no reason lifts it");
    }
    assert_eq!(issue().status, 303);
    let said = desk.get("/case/LFC-0117/close").body;
    assert!(said.contains("Stopped by what was found"), "it is said");
    let letter = desk.get("/case/LFC-0117/issued/gp-letter");
    assert_eq!(letter.status, 200);
    for (file, hash) in &before {
        assert_eq!(pdfs().get(file), Some(hash), "{}", file.display());
    }
}

/// What cannot be written or read is said on the page, and the file is as it was.
#[test]
fn a_full_disk_and_a_broken_file_are_said_and_harm_nothing() {
    let dir = scratch();
    fs::copy(root().join("cases/clinic.yaml"), dir.path().join("clinic.yaml")).expect("copied");
    fs::copy(root().join("cases/routine-adult.yaml"), dir.path().join("LFC-0117.yaml")).expect("copied");
    fs::write(dir.path().join("B-1.yaml"), "reference: B-1\npatient: {given: Ann\nplan: [").expect("written");
    fs::write(dir.path().join("C-1.yaml"), "reference: C-1\npatient: [just, words] # mine\n")
        .expect("written");
    // No file can grow beyond a block: writing fails as on a full disk.
    let mut limited = Command::new("sh");
    limited.args(["-c", "trap '' XFSZ; ulimit -f 1; exec \"$0\" \"$@\"", env!("CARGO_BIN_EXE_unguis")]);
    let desk = Desk::begun(limited, dir);
    let before = desk.text("LFC-0117.yaml");
    assert!(before.len() > 1024, "larger than the limit");
    let hash = desk.hash("LFC-0117.yaml");
    let answer = desk.post("/case/LFC-0117/who/save", &[("hash", &hash), ("=patient.weight", "70 kg")]);
    assert_eq!(answer.status, 500, "{}", answer.body);
    assert!(answer.body.contains("could not write") && answer.body.contains("make room"), "{}", answer.body);
    assert_eq!(desk.text("LFC-0117.yaml"), before);
    let left: Vec<_> =
        fs::read_dir(desk.dir.path()).expect("listed").flatten().map(|entry| entry.file_name()).collect();
    assert!(left.iter().all(|name| !name.to_string_lossy().ends_with(".tmp")), "{left:?}");
    // A file that is no YAML is on the list with what to do, and has no screen.
    let list = desk.get("/").body;
    assert!(list.contains("B-1.yaml") && list.contains("mend it in a text editor"), "{list}");
    assert_eq!(desk.get("/case/B-1/who").status, 404);
    // One in which something else stands where a block should: its screen says so, and nothing is written over it.
    let broken = desk.text("C-1.yaml");
    let page = desk.get("/case/C-1/who");
    assert!(page.status == 200 && page.body.contains("No page can be made yet"), "{}", page.body);
    let hash = desk.hash("C-1.yaml");
    let answer = desk.post("/case/C-1/who/save", &[("hash", &hash), ("=patient.weight", "70 kg")]);
    assert_eq!((answer.status, desk.text("C-1.yaml")), (422, broken));
    assert!(answer.body.contains("cannot be reached in this file"), "{}", answer.body);
    assert!(answer.body.contains("value=\"70 kg\""), "typed and not lost");
}

/// A folder and a file that the person may look at and not write: said on the page, and the file is as it was.
#[cfg(unix)]
#[test]
#[expect(clippy::print_stderr, reason = "a test that cannot be made here says so")]
fn a_folder_that_cannot_be_written_is_said_and_harms_nothing() {
    use std::os::unix::fs::PermissionsExt;
    let dir = scratch();
    fs::copy(root().join("cases/clinic.yaml"), dir.path().join("clinic.yaml")).expect("copied");
    fs::copy(demo_file("routine-adult.yaml"), dir.path().join("LFC-0117.yaml")).expect("copied");
    let mode = |path: &Path, mode: u32| {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("its owner may");
    };
    mode(&dir.path().join("clinic.yaml"), 0o444);
    mode(&dir.path().join("LFC-0117.yaml"), 0o444);
    // No permission keeps root away, so that the desk is somebody else's there; the program lies where that may be run.
    let elsewhere = scratch();
    let program = elsewhere.path().join("unguis");
    fs::copy(env!("CARGO_BIN_EXE_unguis"), &program).expect("copied");
    mode(elsewhere.path(), 0o755);
    let try_it = dir.path().join("try");
    mode(dir.path(), 0o555);
    let is_root = fs::write(&try_it, "").is_ok();
    let as_another = ["--reuid=65534", "--regid=65534", "--clear-groups"];
    let command = match is_root {
        false => Command::new(&program),
        true => {
            fs::remove_file(&try_it).expect("it was just written");
            let can = Command::new("setpriv").args(as_another).arg(&program).arg("--version").output();
            if !can.is_ok_and(|tried| tried.status.success()) {
                eprintln!(
                    "SKIPPED: root may write everywhere, and setpriv cannot make this process another's"
                );
                return;
            }
            let mut command = Command::new("setpriv");
            command.args(as_another).arg(&program);
            command
        }
    };
    let desk = Desk::begun(command, dir);
    let names = || -> Vec<String> {
        let files = fs::read_dir(desk.dir.path()).expect("listed").flatten();
        let mut names: Vec<String> =
            files.map(|file| file.file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    };
    let (before, lay) = (desk.text("LFC-0117.yaml"), names());
    let page = desk.get("/case/LFC-0117/who");
    assert!(page.status == 200 && page.body.contains("value=\"68 kg\""), "it is read all the same");
    let hash = desk.hash("LFC-0117.yaml");
    let posts: [(&str, &[(&str, &str)]); 6] = [
        ("/case/LFC-0117/who/save", &[("hash", &hash), ("=patient.weight", "70 kg")]),
        ("/case/LFC-0117/room/save", &[("hash", &hash), ("now", "operation.finish")]),
        ("/case/LFC-0117/who/typing", &[("name", "=patient.weight"), ("value", "70 k")]),
        (
            "/case/LFC-0117/who/accept",
            &[("hash", &hash), ("rule", "record-incomplete"), ("because", "seen"), ("by", "R. Quill")],
        ),
        ("/case/LFC-0117/who/undo", &[("hash", &hash)]),
        ("/case/LFC-0117/who/make/sweep", &[("hash", &hash)]),
    ];
    for (path, form) in posts {
        let answer = desk.post(path, form);
        assert!(answer.status == 500, "{path}: {}", answer.head);
        assert!(
            answer.body.contains("could not") && answer.body.contains("ermission"),
            "{path}: {}",
            answer.body
        );
        assert!(!answer.body.contains("Hollis"), "{path}");
    }
    // The commands say it in their own words, on the page that asked for them.
    assert_eq!(desk.post("/case/LFC-0117/close/make/issue", &[("hash", &hash)]).status, 303);
    let said = desk.get("/case/LFC-0117/close").body;
    assert!(said.contains("Not done") && said.contains("ermission"), "{said}");
    let answer = desk.post("/new", &[("reference", "LFC-0999")]);
    assert!(answer.status == 422 && answer.body.contains("ermission"), "{}", answer.body);
    assert_eq!((desk.text("LFC-0117.yaml"), names()), (before, lay));
    mode(desk.dir.path(), 0o755);
}

/// Something else in the place of what the desk writes beside a case: said, and the file is as it was.
#[test]
fn a_folder_in_the_place_of_a_file_is_said_and_harms_nothing() {
    for place in [".unguis-desk.lock", ".unguis-desk-LFC-0117.json"] {
        let desk = Desk::open();
        let before = desk.text("LFC-0117.yaml");
        fs::create_dir(desk.file(place)).expect("made");
        let answer =
            desk.post("/case/LFC-0117/who/typing", &[("name", "=patient.weight"), ("value", "70 k")]);
        assert_eq!(answer.status, 500, "{place}: {}", answer.head);
        let is_said = |answer: &Answer| {
            let words = ["is a folder", "could not"];
            answer.body.contains(place) && words.iter().any(|word| answer.body.contains(word))
        };
        assert!(is_said(&answer), "{place}: {}", answer.body);
        let hash = desk.hash("LFC-0117.yaml");
        let answer = desk.post("/case/LFC-0117/who/save", &[("hash", &hash), ("=patient.weight", "70 kg")]);
        // What cannot be kept beside the file keeps no answer out of it.
        let is_written = place != ".unguis-desk.lock";
        assert_eq!(answer.status, if is_written { 303 } else { 500 }, "{place}: {}", answer.body);
        assert!(is_written || is_said(&answer), "{place}: {}", answer.body);
        let after = if is_written { before.replace("68 kg", "70 kg") } else { before };
        assert_eq!(desk.text("LFC-0117.yaml"), after, "{place}");
    }
}

/// The lists of words on a page, by their ids.
fn lists(page: &str) -> BTreeMap<String, Vec<String>> {
    let lists = page.split("<datalist id=\"").skip(1).filter_map(|rest| rest.split("</datalist>").next());
    lists
        .map(|list| {
            let (id, options) = list.split_once('"').expect("an id");
            let options = options.split("<option").skip(1);
            let words = options.map(|option| unescaped(attribute(option, "value").expect("a word")));
            (id.to_owned(), words.collect())
        })
        .collect()
}

/// The fields of a page that complete what is typed, each with its list.
fn completed(page: &str) -> BTreeMap<String, String> {
    let tags = page.split("<input").skip(1).map(|rest| rest.split('>').next().unwrap_or_default());
    tags.filter_map(|tag| Some((unescaped(attribute(tag, "name")?), attribute(tag, "list")?.to_owned())))
        .collect()
}

/// A field that has a list has it on its page, and each word of it is one that the case file knows.
#[test]
fn what_a_field_offers_is_known_when_it_is_chosen() {
    let desk = Desk::open();
    // The agent in a field of its own, and not by the key of its box.
    let text = desk.text("LFC-0117.yaml");
    let agent = "anaesthetic: {agent: mepivacaine, strength: 3 %, batch: M4417, expires: 2027-08}";
    assert!(text.contains("  anaesthetic: mepi\n"));
    fs::write(desk.file("LFC-0117.yaml"), text.replace("anaesthetic: mepi\n", &format!("{agent}\n")))
        .expect("written");
    let mut fields = BTreeMap::new();
    let mut offered = BTreeMap::new();
    for section in SECTIONS {
        let page = desk.get(&format!("/case/LFC-0117/{section}")).body;
        let (lists, asking) = (lists(&page), completed(&page));
        for (id, words) in &lists {
            let mut once = words.clone();
            once.sort();
            once.dedup();
            assert!(!words.is_empty() && once.len() == words.len(), "{section}: {id}: {words:?}");
            // Long lists are on no page that does not use them.
            assert!(id == "list-people" || asking.values().any(|asked| asked == id), "{section}: {id}");
        }
        for (name, id) in &asking {
            assert!(lists.contains_key(id), "{section}: {name} asks for {id}");
        }
        offered.extend(lists);
        fields.extend(asking);
    }
    for (name, id) in [
        ("=gp", "list-practices"),
        ("+history.medicines", "list-medicines"),
        ("+history.conditions", "list-conditions"),
        ("+history.allergies", "list-allergens"),
        ("=operation.anaesthetic.agent", "list-agents"),
        ("=operation.operator", "list-people"),
        ("=consent.taken_by", "list-people"),
        ("by", "list-people"),
    ] {
        assert_eq!(fields.get(name).map(String::as_str), Some(id), "{name} in {fields:?}");
    }
    // A name and a number are completed by nobody.
    for name in ["=patient.family", "=patient.nhs_number", "=problem.summary", "=operation.date", "because"] {
        assert!(!fields.contains_key(name), "{name}");
    }
    // The clinic's own people and practices, as its file has them.
    let clinic = edit::values(&desk.text("clinic.yaml"));
    let keys = |of: &str| -> Vec<String> {
        let of = At::from(of);
        let keys = clinic.keys().filter(|path| path.parent().as_ref() == Some(&of));
        keys.filter_map(|path| path.last_key().map(str::to_owned)).collect()
    };
    assert!(keys("practitioners").len() >= 2 && keys("gps").len() >= 2);
    assert_eq!(offered["list-people"], keys("practitioners"));
    assert_eq!(offered["list-practices"], keys("gps"));

    // Each word is chosen, and none is met as one that nobody knows; another word is.
    let original = desk.text("LFC-0117.yaml");
    let met = |name: &str, words: &[&str], section: &str, rule: &str| -> bool {
        let value = match (name.strip_prefix('+'), words) {
            (None, [word]) => Value::text(*word),
            _ => Value::List(words.iter().map(|word| Value::text(*word)).collect()),
        };
        let edited = edit::apply(&original, &At::from(&name[1..]), &Change::Set(value), &|_| Vec::new());
        fs::write(desk.file("LFC-0117.yaml"), edited.expect("taken")).expect("written");
        let stands: Vec<String> = edit::values(&desk.text("LFC-0117.yaml"))
            .into_values()
            .filter_map(|value| match value {
                Value::Text(text) | Value::Bare(text) => Some(text),
                _ => None,
            })
            .collect();
        for word in words {
            assert!(stands.iter().any(|text| text == word), "{name}: {word} is not in the file");
        }
        let page = desk.get(&format!("/case/LFC-0117/{section}")).body;
        page.contains(&format!("explain/{rule}"))
    };
    let words = |id: &str| -> Vec<&str> { offered[id].iter().map(String::as_str).collect() };
    for (name, id, rule) in [
        ("+history.medicines", "list-medicines", "medicine-unknown"),
        ("+history.conditions", "list-conditions", "condition-unknown"),
        ("+history.allergies", "list-allergens", "allergy-unknown"),
    ] {
        assert!(!met(name, &words(id), "asked", rule), "{name}: a word of its list is not known");
        assert!(met(name, &["zzyzx"], "asked", rule), "{name}");
    }
    for (name, id, section, rule) in [
        ("=operation.anaesthetic.agent", "list-agents", "room", "agent-unknown"),
        ("=gp", "list-practices", "who", "gp-unknown"),
    ] {
        for word in words(id) {
            assert!(!met(name, &[word], section, rule), "{name}: {word}");
        }
        assert!(met(name, &["zzyzx"], section, rule), "{name}");
    }
}

/// A small generator: the same numbers on every machine.
struct Random(u64);

impl Random {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).expect("31 bits") % end
    }
}

/// Killed at a hundred moments of typing: every answer that was taken is in the file, what was being typed
/// stands in its field again, and at most what the desk had not yet said it has is lost.
#[test]
fn a_desk_killed_while_somebody_types_loses_at_most_the_last_answer() {
    let mut random = Random(11);
    let mut kept = {
        let dir = scratch();
        fs::copy(root().join("cases/clinic.yaml"), dir.path().join("clinic.yaml")).expect("copied");
        fs::write(dir.path().join("A-1.yaml"), "reference: A-1\n# mine\nproblem:\n  tried: nothing\n")
            .expect("written");
        Some(dir)
    };
    let fields = ["problem.summary", "problem.tried", "operation.note", "patient.daily_life"];
    let sections = ["foot", "foot", "leave", "who"];
    let mut half_typed = 0;
    for round in 0..100 {
        let mut desk = Desk::in_folder(kept.take().expect("a folder"));
        let at = random.below(fields.len());
        let (path, section) = (fields[at], sections[at]);
        let name = format!("={path}");
        let words = format!("round {round}, ooze clear & \"no pain\" # {}", random.below(1000));
        let url = format!("/case/A-1/{section}");
        let lengths: Vec<usize> =
            (1..=words.len()).filter(|_| random.below(4) == 0).chain([words.len()]).collect();
        // One request for each pause, and at the end the answer.
        let last = random.below(lengths.len() + 1);
        let typing = |desk: &Desk, upto: usize| {
            desk.post(&format!("{url}/typing"), &[("name", &name), ("value", &words[..upto])]).status
        };
        let mut said = String::new();
        for upto in &lengths[..last] {
            assert_eq!(typing(&desk, *upto), 204);
            said = words[..*upto].to_owned();
        }
        let before = desk.text("A-1.yaml");
        let is_answer = last == lengths.len();
        let hash = desk.hash("A-1.yaml");
        let (to, body) = match is_answer {
            true => (format!("{url}/save"), format!("hash={hash}&{}={}", escaped(&name), escaped(&words))),
            false => {
                let value = escaped(&words[..lengths[last]]);
                (format!("{url}/typing"), format!("name={}&value={value}", escaped(&name)))
            }
        };
        let head = format!(
            "POST /{}{to} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: \
             application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n",
            desk.key,
            body.len(),
            host = desk.host()
        );
        let mut stream = desk.connect();
        stream.write_all(format!("{head}{body}").as_bytes()).expect("sent");
        for _ in 0..random.below(400) {
            std::thread::yield_now();
        }
        desk.child.kill().expect("killed");
        desk.child.wait().expect("dead");
        // The file is as it was, or has the answer and nothing else.
        let after = desk.text("A-1.yaml");
        let written =
            edit::apply(&before, &At::from(path), &Change::Set(Value::text(words.as_str())), &|_| Vec::new());
        let is_written = is_answer && Ok(&after) == written.as_ref();
        assert!(
            after == before || is_written || edit::values(&after).contains_key(&At::from(path)),
            "{after}"
        );
        assert!(after.contains("# mine"));
        let dir = std::mem::replace(&mut desk.dir, scratch());
        drop(desk);
        let again = Desk::in_folder(dir);
        let answer = match edit::value_at(&again.text("A-1.yaml"), &At::from(path)) {
            Some(Value::Text(text) | Value::Bare(text)) => text,
            _ => String::new(),
        };
        // Only what it had said is asked for: the last request may or may not have come through.
        if answer != words && !said.is_empty() {
            half_typed += 1;
            let page = again.get(&url);
            let shown = page.body.split(&format!("name=\"{name}\" value=\"")).nth(1).expect("its field");
            let shown = shown.split('"').next().unwrap_or_default();
            let shown = shown.replace("&quot;", "\"").replace("&amp;", "&").replace("&#x27;", "'");
            assert!(
                shown.len() >= said.len() && words.starts_with(&shown),
                "round {round}: {said:?} typed, {shown:?} shown"
            );
            assert!(page.body.contains("is not in the file yet"), "and it says so");
            let forgotten = again.post(&format!("{url}/typing"), &[("forget", "yes")]);
            assert_eq!(forgotten.status, 303);
            assert!(!again.get(&url).body.contains("is not in the file yet"));
        }
        let mut again = again;
        kept = Some(std::mem::replace(&mut again.dir, scratch()));
    }
    assert!(half_typed > 40, "{half_typed}");
}

/// Two desks on one folder, four writers at once: each answer is taken once or refused, and none is lost.
#[test]
fn writers_take_turns_and_none_writes_over_another() {
    let one = Desk::open();
    let dir = one.dir.path().to_owned();
    let mut other = Command::new(env!("CARGO_BIN_EXE_unguis"))
        .args(["desk", "--no-open", "--today", "2026-11-25"])
        .arg(&dir)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    let mut line = String::new();
    BufReader::new(other.stdout.as_mut().expect("it is piped")).read_line(&mut line).expect("its address");
    let rest = line.trim().trim_end_matches('/').rsplit_once(':').expect("a port").1.to_owned();
    let (port, key) = rest.split_once('/').expect("a key");
    let second =
        Desk { child: other, dir: scratch(), port: port.parse().expect("a port"), key: key.to_owned() };
    let lines = ["one", "two", "three", "four"];
    let taken: Vec<String> = std::thread::scope(|scope| {
        let writers: Vec<_> = lines
            .iter()
            .enumerate()
            .map(|(at, word)| {
                let desk = if at % 2 == 0 { &one } else { &second };
                let dir = &dir;
                scope.spawn(move || {
                    let mut taken = Vec::new();
                    for round in 0..20 {
                        let line = format!("{word} {round}");
                        let file = fs::read(dir.join("LFC-0117.yaml")).expect("it is there");
                        let form = [("hash", sha256(&file)), ("+patient.address", line.clone())];
                        let form: Vec<(&str, &str)> =
                            form.iter().map(|(name, value)| (*name, value.as_str())).collect();
                        match desk.post("/case/LFC-0117/who/save", &form).status {
                            303 => taken.push(line),
                            409 => {}
                            other => panic!("{other}"),
                        }
                    }
                    taken
                })
            })
            .collect();
        writers.into_iter().flat_map(|writer| writer.join().expect("it ends")).collect()
    });
    let text = one.text("LFC-0117.yaml");
    let Some(Value::List(items)) = edit::value_at(&text, &At::from("patient.address")) else {
        panic!("{text}")
    };
    let mut there: Vec<String> = items
        .into_iter()
        .filter_map(|item| match item {
            Value::Text(text) | Value::Bare(text) => Some(text),
            _ => None,
        })
        .filter(|line| lines.iter().any(|word| line.starts_with(&format!("{word} "))))
        .collect();
    let mut taken = taken;
    there.sort();
    taken.sort();
    assert!(taken.len() >= 20, "{}", taken.len());
    assert_eq!(there, taken, "what was said to be taken is there, once");
}

#[test]
fn a_time_of_the_clock_that_is_corrected_says_so() {
    let desk = Desk::open();
    let path = "operation.toes.L1.tourniquet.off";
    let save = |form: &[(&str, &str)]| {
        let hash = desk.hash("LFC-0117.yaml");
        let form: Vec<(&str, &str)> = [&[("hash", hash.as_str())][..], form].concat();
        desk.post("/case/LFC-0117/room/save", &form)
    };
    // A time that was typed and is typed again is no time of the clock.
    assert_eq!(save(&[(&format!("={path}"), "10:02")]).status, 303);
    assert!(!desk.text("LFC-0117.yaml").contains("times_corrected"));
    assert_eq!(save(&[("now", path)]).status, 303);
    let clock = match edit::value_at(&desk.text("LFC-0117.yaml"), &At::from(path)) {
        Some(Value::Text(text) | Value::Bare(text)) => text,
        other => panic!("{other:?}"),
    };
    assert!(!desk.text("LFC-0117.yaml").contains("times_corrected"));
    let other = if clock == "10:03" { "10:04" } else { "10:03" };
    assert_eq!(save(&[(&format!("={path}"), other)]).status, 303);
    let line = format!("Left big toe (L1), tourniquet, off: {clock} by the clock, corrected to {other}");
    assert!(desk.text("LFC-0117.yaml").contains(&line), "{}", desk.text("LFC-0117.yaml"));
    let page = desk.get("/case/LFC-0117/room");
    assert!(page.body.contains(&format!("{clock} by the clock, corrected to {other}")), "the page says so");
    // Back to what the clock said: nothing was corrected.
    assert_eq!(save(&[(&format!("={path}"), &clock)]).status, 303);
    assert!(!desk.text("LFC-0117.yaml").contains("times_corrected"));
    // In lines the time is still there: nothing was taken out, and any other answer is taken.
    let text = SourceText::new("LFC-0117.yaml", desk.text("LFC-0117.yaml"));
    let lines = unguis::case::shortened(&text).expect("it is longer in blocks");
    assert!(lines.contains("operation: 2026-11-24"), "{lines}");
    fs::write(desk.file("LFC-0117.yaml"), lines).expect("written");
    let hash = desk.hash("LFC-0117.yaml");
    let answer = desk.post("/case/LFC-0117/who/save", &[("hash", &hash), ("=patient.weight", "69 kg")]);
    assert_eq!(answer.status, 303, "{}", answer.body);
    let text = desk.text("LFC-0117.yaml");
    assert!(text.contains("69 kg") && !text.contains("times_corrected"), "{text}");
}

#[test]
fn letters_are_bound_and_entered_as_gone() {
    let desk = Desk::open();
    let hash = desk.hash("LFC-0117.yaml");
    assert_eq!(desk.post("/case/LFC-0117/close/make/issue", &[("hash", &hash)]).status, 303);
    let bound = desk.post("/list/print", &[]);
    assert_eq!(bound.status, 200, "{}", bound.body);
    let register = || fs::read_to_string(desk.file("out/register.jsonl")).expect("there");
    let before = register();
    let gone = desk.post("/list/gone", &[("by", "T. Ashdown"), ("how", "post")]);
    assert_eq!(gone.status, 200, "{}", gone.body);
    let added = register().strip_prefix(&before).expect("lines are added").to_owned();
    assert!(added.contains("T. Ashdown") && added.contains("gp-letter"), "{added}");
    // Nothing that a command would take for an option.
    assert_eq!(desk.post("/list/gone", &[("by", ""), ("how", "--undo")]).status, 422);
}

/// A comment behind a value.
const KEPT: &str = " # seen";

/// A demo case with comments before its blocks and behind its plain values.
fn with_comments(name: &str) -> String {
    let text = fs::read_to_string(root().join("cases").join(name)).expect("read");
    let mut out = String::new();
    for line in text.lines() {
        let is_block = line.ends_with(':') && !line.starts_with([' ', '-', '#']);
        let plain = line.trim_start().split_once(": ").is_some_and(|(key, value)| {
            let is_plain =
                |text: &str, also: &str| text.chars().all(|c| c.is_ascii_alphanumeric() || also.contains(c));
            is_plain(key, "_") && is_plain(value, " .-")
        });
        if is_block {
            out.push_str(&format!("# before {line}\n"));
        }
        out.push_str(line);
        out.push_str(if plain { KEPT } else { "" });
        out.push('\n');
    }
    out
}

/// Five thousand answers over every demo case, each through the desk's own route: exactly the answered place
/// differs, every comment is there, and no line but those of the change.
#[test]
fn thousands_of_answers_change_nothing_else() {
    let dir = scratch();
    let mut names = Vec::new();
    for entry in fs::read_dir(root().join("cases")).expect("listed") {
        let path = entry.expect("listed").path();
        if path.extension().is_some_and(|ending| ending == "yaml") {
            let name = path.file_name().expect("named").to_string_lossy().into_owned();
            if name == "clinic.yaml" {
                fs::copy(&path, dir.path().join(&name)).expect("copied");
            } else {
                fs::write(dir.path().join(&name), with_comments(&name)).expect("written");
                names.push(name);
            }
        }
    }
    names.sort();
    assert!(names.len() >= 8);
    let desk = Desk::in_folder(dir);
    let mut random = Random(5);
    let mut written = 0;
    let mut refused = 0;
    for round in 0..5_000 {
        let name = &names[random.below(names.len())];
        let before = desk.text(name);
        let values = edit::values(&before);
        let reference = match values.get(&At::from("reference")) {
            Some(Value::Text(text) | Value::Bare(text)) => text.clone(),
            other => panic!("{name}: {other:?}"),
        };
        let places: Vec<&At> = values
            .iter()
            .filter(|(path, value)| {
                let is_text = matches!(value, Value::Text(_) | Value::Bare(_));
                is_text && path.to_string() != "reference" && !path.to_string().contains("not_recorded")
            })
            .map(|(path, _)| path)
            .collect();
        let path = places[random.below(places.len())];
        let words =
            ["ooze clear", "a: b # c", "2 mm", "true", "- x", "\"quoted\" & 'so'", "Ż", "0", "[a, b]"];
        let value = format!("{} {round}", words[random.below(words.len())]);
        let form = [("hash", desk.hash(name)), (&*format!("={path}"), value.clone())]
            .map(|(name, value)| (name.to_owned(), value));
        let form: Vec<(&str, &str)> =
            form.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        let status = desk.post(&format!("/case/{reference}/who/save"), &form).status;
        let after = desk.text(name);
        if status == 422 {
            assert_eq!(after, before, "{path}: refused, and the file is as it was");
            refused += 1;
            continue;
        }
        assert_eq!(status, 303, "{name}: {path}");
        written += 1;
        let now = edit::values(&after);
        let said = |value: Option<&Value>| match value {
            Some(Value::Text(text) | Value::Bare(text)) => Some(text.clone()),
            _ => None,
        };
        assert_eq!(said(now.get(path)), Some(value), "{name}: {path}");
        for (other, old) in &values {
            if other != path && said(Some(old)).is_some() {
                assert_eq!(now.get(other), Some(old), "{name}: {other} beside {path}");
            }
        }
        let comments = |text: &str| {
            let own: Vec<String> =
                text.lines().map(str::trim).filter(|line| line.starts_with('#')).map(str::to_owned).collect();
            (own, text.matches(KEPT).count())
        };
        assert_eq!(comments(&after), comments(&before), "{name}: {path}");
        // The lines before and behind the change are those of before.
        let (old, new): (Vec<&str>, Vec<&str>) = (before.lines().collect(), after.lines().collect());
        let start = old.iter().zip(&new).take_while(|(old, new)| old == new).count();
        let end = old.iter().rev().zip(new.iter().rev()).take_while(|(old, new)| old == new).count();
        let touched = old.len().max(new.len()).saturating_sub(start + end);
        // A block that is written in one line may run over several.
        let own = said(values.get(path)).map_or(0, |text| text.len() / 60);
        assert!(touched <= 4 + own, "{name}: {path}: {touched} lines");
        // Fresh again now and then, so that texts do not wear away.
        if written % 40 == 0 {
            fs::write(desk.file(name), with_comments(name)).expect("written");
        }
    }
    assert!(written > 4_500 && refused < 500, "{written} {refused}");
}

/// A window is told of a change by anybody.
#[test]
fn a_change_by_another_program_is_told_to_the_window() {
    let desk = Desk::open();
    let mut stream = desk.connect();
    let request = format!("GET /{}/case/LFC-0117/live HTTP/1.1\r\nHost: {}\r\n\r\n", desk.key, desk.host());
    stream.write_all(request.as_bytes()).expect("sent");
    let mut lines = BufReader::new(stream).lines().map_while(Result::ok);
    let first = lines.find(|line| line.starts_with("data: ")).expect("told what is there");
    assert!(first.contains(&desk.hash("LFC-0117.yaml")));
    let text = desk.text("LFC-0117.yaml").replace("68 kg", "69 kg");
    fs::write(desk.file("LFC-0117.yaml"), text).expect("written");
    let next = lines.find(|line| line.starts_with("data: ") && *line != first).expect("told again");
    assert!(next.contains(&desk.hash("LFC-0117.yaml")), "{next}");
}
