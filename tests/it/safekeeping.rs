//! Safekeeping as a clinic meets it: what somebody with access to the folder can do, seals, ends that were written
//! down, copies, and what lies where a file should.

use std::fs::{self, File};
use std::io::Read as _;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;
use unguis::register::chain::Register;
use unguis::register::entry::Event;

use crate::support::{Ran, clinic, root, tool, unguis_in};

const PROGRAM: &str = env!("CARGO_BIN_EXE_unguis");
const ISSUE: [&str; 4] = ["issue", "cases", "--today", "2026-11-25"];
const LETTER: &str = "out/LFC-0200/LFC-0200-gp-letter-1.pdf";
/// The last signed line is entered with this.
const SENT: [&str; 9] =
    ["sent", "LFC-0200", "gp-letter", "--to", "gp", "--on", "2026-11-26", "--today", "2026-11-27"];

fn issued(cases: usize) -> tempfile::TempDir {
    let folder = clinic(cases);
    let ran = unguis_in(folder.path(), ISSUE);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    folder
}

fn verify(folder: &Path, more: &[&str]) -> (i32, Value) {
    let ran = within(folder, ["verify", "--format", "json"].iter().chain(more));
    let verdict = serde_json::from_str(&ran.stdout);
    (ran.code, verdict.unwrap_or_else(|_| Value::from(ran.stderr)))
}

fn kinds(folder: &Path, more: &[&str]) -> Vec<String> {
    listed(&verify(folder, more).1, "mismatches")
}

fn notes(folder: &Path, more: &[&str]) -> Vec<String> {
    listed(&verify(folder, more).1, "notes")
}

fn listed(verdict: &Value, list: &str) -> Vec<String> {
    let found = verdict[list].as_array().unwrap_or_else(|| panic!("no verdict: {verdict}"));
    found.iter().filter_map(|one| one["kind"].as_str()).map(str::to_owned).collect()
}

/// Runs the program; whoever waits for a pipe or reads without end is ended and fails.
fn within<'a>(folder: &Path, args: impl IntoIterator<Item = &'a &'a str>) -> Ran {
    let output = Command::new("timeout")
        .args(["--signal=KILL", "120", PROGRAM])
        .args(args)
        .current_dir(folder)
        .output()
        .expect("coreutils are there");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("output is UTF-8");
    Ran { stdout: text(output.stdout), stderr: text(output.stderr), code: output.status.code().unwrap_or(-1) }
}

fn copy_tree(from: &Path, to: &Path) {
    tool("cp", &["-a", &from.display().to_string(), &to.display().to_string()]);
}

/// What somebody does who may write into the folder and knows how a register is made: all lines anew, with the
/// mark of their end.
fn forge(folder: &Path, mut change: impl FnMut(&mut Event)) {
    let path = folder.join("out/register.jsonl");
    let (old, problems) = Register::parse(&fs::read(&path).expect("issued"));
    assert_eq!(problems, []);
    let (mut new, mut lines) = (Register::default(), String::new());
    for (_, mut event) in old.events {
        change(&mut event);
        lines.push_str(&new.append(event));
    }
    fs::write(&path, lines).expect("written");
    fs::write(folder.join("out/.register.end"), new.end().text()).expect("written");
}

fn new_key(folder: &Path, name: &str) -> String {
    let ran = unguis_in(folder, ["verify", "--new-key", name]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let line = ran.stdout.lines().last().unwrap_or_default();
    line.strip_prefix("fingerprint: ").expect("it is printed").to_owned()
}

fn seal(folder: &Path, key: &str, more: &[&str]) -> Ran {
    unguis_in(folder, ["verify", "--seal", key].iter().chain(more))
}

fn end_of(folder: &Path) -> String {
    verify(folder, &[]).1["end"].as_str().expect("there is a register").to_owned()
}

#[test]
fn a_register_made_anew_is_named_by_its_seal_and_by_its_written_end() {
    let folder = issued(1);
    let fingerprint = new_key(folder.path(), "clinic.key");
    let sealed = seal(folder.path(), "clinic.key", &[]);
    assert_eq!((sealed.code, sealed.stderr.as_str()), (0, "sealed\n"), "{}", sealed.stdout);
    assert!(sealed.stdout.contains(&format!("with the key {fingerprint}\n")), "{}", sealed.stdout);
    let end = end_of(folder.path());
    let trust = ["--trust", fingerprint.as_str(), "--expect", end.as_str()];
    assert_eq!(kinds(folder.path(), &trust), [] as [&str; 0]);
    // A changed letter, and the register made to fit: nothing in the folder speaks against it but the seal.
    let letter = folder.path().join(LETTER);
    let mut bytes = fs::read(&letter).expect("issued");
    bytes[100] ^= 1;
    fs::write(&letter, &bytes).expect("written");
    assert_eq!(kinds(folder.path(), &[]), ["changed"]);
    let seals = fs::read(folder.path().join("out/register.seals")).expect("sealed");
    fs::remove_file(folder.path().join("out/register.seals")).expect("removed");
    forge(folder.path(), |event| {
        if let Event::Issued(issued) = event
            && issued.document == "gp-letter"
        {
            issued.pdf_sha256 = unguis::hash::sha256(&bytes);
        }
    });
    assert_eq!(kinds(folder.path(), &[]), [] as [&str; 0], "without seal and end it cannot show");
    assert_eq!(kinds(folder.path(), &["--trust", &fingerprint]), ["not-sealed"]);
    assert_eq!(kinds(folder.path(), &["--expect", &end]), ["register-another"]);
    fs::write(folder.path().join("out/register.seals"), seals).expect("written");
    assert_eq!(kinds(folder.path(), &[]), ["seal-broken"]);
    let refused = seal(folder.path(), "clinic.key", &[]);
    assert_eq!(refused.code, 1, "{}", refused.stdout);
    assert!(refused.stderr.contains("nothing was sealed"), "{}", refused.stderr);
}

#[test]
fn an_older_folder_or_register_that_is_put_back_is_named() {
    let folder = issued(1);
    let key = new_key(folder.path(), "clinic.key");
    assert_eq!(seal(folder.path(), "clinic.key", &[]).code, 0);
    let out = folder.path().join("out");
    copy_tree(&out, &folder.path().join("older"));
    assert_eq!(unguis_in(folder.path(), ["backup", "copies"]).code, 0);
    let sent = unguis_in(folder.path(), SENT);
    assert_eq!(sent.code, 0, "{}", sent.stderr);
    let noted = notes(folder.path(), &["--trust", &key]);
    assert!(noted.contains(&"after-last-seal".to_owned()), "{noted:?}");
    assert_eq!(seal(folder.path(), "clinic.key", &[]).code, 0);
    assert_eq!(unguis_in(folder.path(), ["backup", "copies"]).code, 0);
    let end = end_of(folder.path());
    // Both files of the register of the day before: no document shows that a line is gone.
    let both = ["register.jsonl", ".register.end"];
    let kept: Vec<Vec<u8>> = both.iter().map(|name| fs::read(out.join(name)).expect("there")).collect();
    for name in both {
        fs::copy(folder.path().join("older").join(name), out.join(name)).expect("copied");
    }
    assert_eq!(kinds(folder.path(), &[]), ["seal-broken"]);
    assert_eq!(kinds(folder.path(), &["--expect", &end]), ["register-behind", "seal-broken"]);
    for (name, bytes) in both.iter().zip(kept) {
        fs::write(out.join(name), bytes).expect("written");
    }
    assert_eq!(kinds(folder.path(), &["--expect", &end]), [] as [&str; 0]);
    // The whole folder, seals and all: only what lies elsewhere can tell.
    fs::remove_dir_all(&out).expect("removed");
    copy_tree(&folder.path().join("older"), &out);
    assert_eq!(kinds(folder.path(), &["--trust", &key]), [] as [&str; 0]);
    assert_eq!(kinds(folder.path(), &["--expect", &end]), ["register-behind"]);
    let refused = unguis_in(folder.path(), ["backup", "copies"]);
    assert_eq!(refused.code, 2, "{}", refused.stdout);
    assert!(refused.stderr.contains("an older one was put back"), "{}", refused.stderr);
    assert_eq!(kinds(folder.path(), &["copies", "--expect", &end]), [] as [&str; 0], "the copy has it");
}

#[test]
fn exchanged_edited_added_and_removed_files_are_named() {
    let folder = issued(2);
    new_key(folder.path(), "clinic.key");
    assert_eq!(seal(folder.path(), "clinic.key", &[]).code, 0);
    let letters = [200, 201].map(|at| folder.path().join(format!("out/LFC-0{at}/LFC-0{at}-gp-letter-1.pdf")));
    let both = letters.clone().map(|path| fs::read(path).expect("issued"));
    fs::write(&letters[0], &both[1]).expect("written");
    fs::write(&letters[1], &both[0]).expect("written");
    // The one that is smaller now looks like one that was cut off.
    let found = kinds(folder.path(), &[]);
    assert!(found.len() == 2 && found.contains(&"changed".to_owned()), "two patients' letters: {found:?}");
    // The register made to fit as well.
    let hashes = both.clone().map(|bytes| unguis::hash::sha256(&bytes));
    let seals = fs::read(folder.path().join("out/register.seals")).expect("sealed");
    let register = fs::read(folder.path().join("out/register.jsonl")).expect("issued");
    let end = fs::read(folder.path().join("out/.register.end")).expect("issued");
    forge(folder.path(), |event| {
        if let Event::Issued(issued) = event
            && issued.document == "gp-letter"
        {
            let other = usize::from(issued.reference == "LFC-0200");
            issued.pdf_sha256.clone_from(&hashes[other]);
            issued.pdf_bytes = both[other].len() as u64;
        }
    });
    assert_eq!(kinds(folder.path(), &[]), ["seal-broken"]);
    fs::write(folder.path().join("out/register.seals"), seals).expect("written");
    fs::write(folder.path().join("out/register.jsonl"), register).expect("written");
    fs::write(folder.path().join("out/.register.end"), end).expect("written");
    for (path, bytes) in letters.iter().zip(&both) {
        fs::write(path, bytes).expect("written");
    }
    let twin = letters[0].with_extension("txt");
    let text = fs::read_to_string(&twin).expect("issued");
    fs::write(&twin, text.replacen("Dear", "Hear", 1)).expect("written");
    assert_eq!(kinds(folder.path(), &[]), ["changed"]);
    fs::write(&twin, text).expect("written");
    fs::remove_file(&letters[1]).expect("removed");
    fs::write(folder.path().join("out/LFC-0200/scan.jpg"), "?").expect("written");
    assert_eq!(kinds(folder.path(), &[]), ["missing", "extra"]);
}

#[test]
fn a_seal_by_a_strangers_key_is_named() {
    let folder = issued(1);
    let own = new_key(folder.path(), "clinic.key");
    let other = new_key(folder.path(), "stranger.key");
    assert_eq!(seal(folder.path(), "clinic.key", &[]).code, 0);
    assert_eq!(unguis_in(folder.path(), SENT).code, 0);
    let refused = seal(folder.path(), "stranger.key", &[]);
    assert!(
        refused.code == 2 && refused.stderr.contains("not the key that sealed before"),
        "{}",
        refused.stderr
    );
    assert!(refused.stderr.contains(&other), "{}", refused.stderr);
    let refused = seal(folder.path(), "stranger.key", &["--trust", &own]);
    assert!(refused.code == 2 && refused.stderr.contains("not the key"), "{}", refused.stderr);
    // Made elsewhere and added by hand.
    let seals = folder.path().join("out/register.seals");
    let own_seals = fs::read_to_string(&seals).expect("sealed");
    fs::remove_file(&seals).expect("removed");
    assert_eq!(seal(folder.path(), "stranger.key", &[]).code, 0);
    let strange = fs::read_to_string(&seals).expect("sealed");
    assert_eq!(kinds(folder.path(), &["--trust", "clinic.key.pub"]), ["seal-foreign", "not-sealed"]);
    fs::write(&seals, format!("{own_seals}{strange}")).expect("written");
    assert_eq!(kinds(folder.path(), &[]), ["seal-damaged", "seal-foreign"]);
    // The clinic changes its key: both are named from then on.
    fs::write(&seals, own_seals).expect("written");
    let both = ["--trust", own.as_str(), "--trust", other.as_str()];
    let sealed = seal(folder.path(), "stranger.key", &both);
    assert_eq!(sealed.code, 0, "{}{}", sealed.stdout, sealed.stderr);
    assert_eq!(kinds(folder.path(), &both), [] as [&str; 0]);
    assert_eq!(kinds(folder.path(), &[]), ["seal-foreign"]);
}

/// The signature as another program sees it. Source: OpenSSL, `pkeyutl -verify -rawin`.
#[test]
fn openssl_finds_the_same_of_key_and_seal() {
    let folder = issued(1);
    let fingerprint = new_key(folder.path(), "clinic.key");
    assert_eq!(seal(folder.path(), "clinic.key", &[]).code, 0);
    let at = |name: &str| folder.path().join(name).display().to_string();
    let public = tool("openssl", &["pkey", "-in", &at("clinic.key"), "-pubout"]);
    assert_eq!(public, fs::read_to_string(at("clinic.key.pub")).expect("made"));
    tool("openssl", &["pkey", "-pubin", "-in", &at("clinic.key.pub"), "-outform", "DER", "-out", &at("der")]);
    let hash = unguis::hash::sha256(&fs::read(at("der")).expect("written"));
    assert_eq!(fingerprint.replace('-', ""), hash[..32]);
    let line = fs::read_to_string(at("out/register.seals")).expect("sealed");
    let seal: Value = serde_json::from_str(&line).expect("a line of JSON");
    let word = |key: &str| seal[key].as_str().unwrap_or_default().to_owned();
    let (lines, last, time, previous) = (&seal["lines"], word("last"), word("time"), word("previous"));
    let message = format!("unguis seal 1\nlines {lines}\nlast {last}\ntime {time}\nprevious {previous}\n");
    fs::write(at("message"), message).expect("written");
    fs::write(at("base64"), format!("{}\n", word("signature"))).expect("written");
    tool("openssl", &["base64", "-d", "-A", "-in", &at("base64"), "-out", &at("signature")]);
    let check = ["pkeyutl", "-verify", "-pubin", "-rawin"];
    let files = ["-inkey", &at("clinic.key.pub"), "-in", &at("message"), "-sigfile", &at("signature")];
    let said = tool("openssl", &[&check[..], &files[..]].concat());
    assert!(said.contains("Verified Successfully"), "{said}");
}

#[test]
fn a_key_is_the_owners_and_never_written_over() {
    let folder = issued(1);
    new_key(folder.path(), "clinic.key");
    let key = folder.path().join("clinic.key");
    let mode = |path: &Path| fs::metadata(path).expect("there").permissions().mode() & 0o777;
    assert_eq!(mode(&key), 0o600);
    let before = fs::read(&key).expect("made");
    let again = unguis_in(folder.path(), ["verify", "--new-key", "clinic.key"]);
    assert_eq!((again.code, fs::read(&key).expect("there")), (2, before.clone()), "{}", again.stdout);
    // Nor in a folder that a group shares.
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o2770)).expect("scratch is ours");
    new_key(folder.path(), "shared.key");
    assert_eq!(mode(&folder.path().join("shared.key")), 0o600);
    let shown = unguis_in(folder.path(), ["verify", "--show-key", "clinic.key"]);
    assert!(shown.code == 0 && shown.stdout.starts_with("-----BEGIN PUBLIC KEY-----\n"), "{}", shown.stdout);
    for (key, says) in [
        ("nowhere.key", "could not read `nowhere.key`"),
        ("clinic.key.pub", "the public half of a key"),
        ("cases/clinic.yaml", "no key to seal with"),
        ("out/inside.key", "the key lies in `out` itself"),
    ] {
        if key.starts_with("out/") {
            fs::copy(folder.path().join("clinic.key"), folder.path().join(key)).expect("copied");
        }
        let ran = seal(folder.path(), key, &[]);
        assert!(ran.code == 2 && ran.stderr.contains(says), "{key}: {}", ran.stderr);
        assert!(!folder.path().join("out/register.seals").exists(), "{key}");
    }
    fs::remove_file(folder.path().join("out/inside.key")).expect("removed");
    fs::set_permissions(&key, fs::Permissions::from_mode(0o644)).expect("ours");
    let ran = seal(folder.path(), "clinic.key", &[]);
    assert!(ran.code == 0 && ran.stderr.contains("other accounts can read the key"), "{}", ran.stderr);
    let again = seal(folder.path(), "clinic.key", &[]);
    assert!(again.code == 0 && again.stderr.contains("sealed to its end already"), "{}", again.stderr);
}

// -------------------------------------------------------------------------- what lies where a file should

fn pipe(path: &Path) {
    tool("mkfifo", &[&path.display().to_string()]);
}

/// Nothing is waited for, followed or read without end.
#[test]
fn pipes_links_devices_and_folders_are_named_and_not_opened() {
    let folder = issued(1);
    let out = folder.path().join("out");
    let letter = folder.path().join(LETTER);
    let away = folder.path().join("away.pdf");
    let notes = out.join("LFC-0200/notes");
    pipe(&notes);
    assert_eq!(kinds(folder.path(), &[]), ["not-a-file"]);
    fs::remove_file(&notes).expect("removed");
    symlink("/dev/zero", &notes).expect("made");
    assert_eq!(kinds(folder.path(), &[]), ["link"]);
    fs::remove_file(&notes).expect("removed");
    // A whole letter, elsewhere: it may be exchanged there, and no copy holds it.
    fs::rename(&letter, &away).expect("moved");
    symlink(&away, &letter).expect("made");
    let (code, verdict) = verify(folder.path(), &[]);
    assert_eq!((code, listed(&verdict, "mismatches")), (1, vec!["link".to_owned()]), "{verdict}");
    fs::remove_file(&letter).expect("removed");
    fs::create_dir(&letter).expect("made");
    assert_eq!(kinds(folder.path(), &[]), ["not-a-file"]);
    fs::remove_dir(&letter).expect("removed");
    pipe(&letter);
    assert_eq!(kinds(folder.path(), &[]), ["not-a-file"]);
    fs::remove_file(&letter).expect("removed");
    fs::rename(&away, &letter).expect("moved");
    fs::create_dir(out.join("LFC-0200/LFC-0200-gp-letter-7.pdf")).expect("made");
    assert_eq!(kinds(folder.path(), &[]), ["not-a-file"]);
}

#[test]
fn neither_issue_nor_verify_follows_what_lies_for_the_register() {
    for name in ["register.jsonl", ".register.end", ".register.lock"] {
        for (what, is) in
            [("pipe", "a named pipe"), ("zero", "a link"), ("moved", "a link"), ("folder", "a folder")]
        {
            let folder = issued(1);
            let path = folder.path().join("out").join(name);
            let kept = folder.path().join("kept");
            fs::rename(&path, &kept).expect("moved");
            match what {
                "pipe" => pipe(&path),
                "zero" => symlink("/dev/zero", &path).expect("made"),
                "moved" => symlink(&kept, &path).expect("made"),
                _ => fs::create_dir(&path).expect("made"),
            }
            let before = fs::read(&kept).expect("moved");
            let ran = within(folder.path(), &ISSUE);
            assert_eq!(ran.code, 2, "{name} {what}: {}", ran.stderr);
            assert!(ran.stderr.contains(&format!("`out/{name}` is {is}")), "{name} {what}: {}", ran.stderr);
            assert!(ran.stderr.contains("help: move "), "{name} {what}: {}", ran.stderr);
            let (code, verdict) = verify(folder.path(), &[]);
            let found = listed(&verdict, "mismatches");
            assert_eq!(code, 1, "{name} {what}: {verdict}");
            assert!(
                found.iter().any(|kind| ["link", "not-a-file"].contains(&kind.as_str())),
                "{what}: {found:?}"
            );
            assert_eq!(fs::read(&kept).expect("there"), before, "{name} {what}: it was written through");
        }
    }
}

#[test]
fn a_case_is_not_issued_through_a_link() {
    for what in ["elsewhere", "nowhere", "file"] {
        let folder = clinic(1);
        let path = folder.path().join("out/LFC-0200");
        fs::create_dir_all(folder.path().join("out")).expect("made");
        fs::create_dir(folder.path().join("elsewhere")).expect("made");
        match what {
            "file" => fs::write(&path, "a file").expect("written"),
            to => symlink(folder.path().join(to), &path).expect("made"),
        }
        for command in ["issue", "draft"] {
            let ran = unguis_in(folder.path(), [command, "cases", "--today", "2026-11-25"]);
            assert_eq!(ran.code, 2, "{command} {what}: {}", ran.stderr);
            let is = if what == "file" { "a file" } else { "a link" };
            let says = format!("`out/LFC-0200` is {is}, where a folder is needed");
            assert!(ran.stderr.contains(&says) && ran.stderr.contains("help: "), "{command}: {}", ran.stderr);
        }
        assert_eq!(fs::read_dir(folder.path().join("elsewhere")).expect("there").count(), 0);
    }
}

#[test]
fn a_pipe_among_templates_is_named() {
    let folder = clinic(1);
    fs::create_dir(folder.path().join("own")).expect("made");
    pipe(&folder.path().join("own/layout.typ"));
    let ran = within(folder.path(), ISSUE.iter().chain(&["--templates", "own"]));
    assert!(ran.code == 2 && ran.stderr.contains("`own/layout.typ` is a named pipe"), "{}", ran.stderr);
}

/// The program as another account of this computer, of a group; `None` where that cannot be tried.
fn as_account(user: u32, group: u32, program: &Path, folder: &Path, args: &[&str]) -> Option<Ran> {
    if tool("id", &["-u"]).trim() != "0" {
        return None;
    }
    let output = Command::new("setpriv")
        .args([format!("--reuid={user}"), format!("--regid={group}"), "--clear-groups".to_owned()])
        .arg(program)
        .args(args)
        .current_dir(folder)
        .output()
        .expect("the program starts");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("output is UTF-8");
    Some(Ran {
        stdout: text(output.stdout),
        stderr: text(output.stderr),
        code: output.status.code().unwrap_or(-1),
    })
}

/// The program where every account can start it.
fn program_for_all(folder: &Path) -> PathBuf {
    let program = folder.join("program");
    fs::copy(PROGRAM, &program).expect("the program can be copied");
    for path in [folder, &program] {
        fs::set_permissions(path, fs::Permissions::from_mode(0o755)).expect("scratch is ours");
    }
    program
}

#[test]
fn a_folder_that_cannot_be_opened_does_not_end_verify() {
    let folder = issued(2);
    let program = program_for_all(folder.path());
    let out = folder.path().join("out");
    tool("chown", &["-R", "2001:2001", &out.display().to_string()]);
    fs::set_permissions(out.join("LFC-0201"), fs::Permissions::from_mode(0o000)).expect("mode set");
    fs::remove_file(folder.path().join(LETTER)).expect("removed");
    let args = ["verify", "--format", "json"];
    let Some(ran) = as_account(2001, 2001, &program, folder.path(), &args) else { return };
    let verdict: Value = serde_json::from_str(&ran.stdout).unwrap_or_else(|_| panic!("{}", ran.stderr));
    assert_eq!((ran.code, listed(&verdict, "mismatches")), (1, vec!["missing".into(), "unreadable".into()]));
    let says = verdict["mismatches"][1]["message"].as_str().unwrap_or_default();
    assert!(says.contains("8 issued files in it could not be looked at"), "{says}");
    assert_eq!(verdict["whole"], 7);
}

#[test]
fn a_folder_that_is_not_there_does_not_keep_the_others_from_being_verified() {
    let folder = issued(1);
    let ran = unguis_in(folder.path(), ["verify", "nowhere", "out"]);
    assert_eq!(ran.code, 2, "{}", ran.stdout);
    assert!(ran.stderr.starts_with("nowhere: error: could not list `nowhere`"), "{}", ran.stderr);
    assert!(
        ran.stdout.starts_with("out: ") && ran.stdout.contains("8 issued files as issued"),
        "{}",
        ran.stdout
    );
}

/// By choice: the folder has a group, hands it on, and lets it write.
#[test]
fn two_accounts_of_a_group_share_a_folder_by_choice() {
    let folder = clinic(1);
    let program = program_for_all(folder.path());
    let out = folder.path().join("out");
    fs::create_dir(&out).expect("made");
    if tool("id", &["-u"]).trim() != "0" {
        return;
    }
    tool("chgrp", &["5000", &out.display().to_string()]);
    fs::set_permissions(&out, fs::Permissions::from_mode(0o2770)).expect("mode set");
    tool("chmod", &["-R", "a+rX", &folder.path().join("cases").display().to_string()]);
    let run = |user, args: &[&str]| as_account(user, 5000, &program, folder.path(), args).expect("root");
    let first = run(2001, &ISSUE);
    assert_eq!(first.code, 0, "{}", first.stderr);
    let sent = run(2002, &SENT);
    assert_eq!(sent.code, 0, "{}", sent.stderr);
    let checked = run(2002, &["verify"]);
    assert_eq!(checked.code, 0, "{}{}", checked.stdout, checked.stderr);
    let case = folder.path().join("cases/LFC-0200.yaml");
    let text = fs::read_to_string(&case).expect("there");
    fs::write(&case, text.replace("anaesthetic: mepi", "anaesthetic: {supply: mepi, batch: M4471}"))
        .expect("written");
    let second = run(2002, &[&ISSUE[..], &["--because", "batch mistyped"]].concat());
    assert_eq!(second.code, 0, "{}", second.stderr);
    assert_eq!(run(2001, &["verify"]).code, 0);
    let mode = |path: &str| fs::metadata(out.join(path)).expect("there").permissions().mode() & 0o7777;
    assert_eq!(mode("LFC-0200"), 0o2770);
    for file in ["register.jsonl", ".register.end", ".register.lock", "LFC-0200/LFC-0200-gp-letter-1.pdf"] {
        assert_eq!(mode(file), 0o660, "{file}");
    }
    let stranger = as_account(2003, 2003, &program, folder.path(), &["verify"]).expect("root");
    assert_eq!(stranger.code, 2, "{}", stranger.stdout);
}

#[test]
fn what_all_accounts_can_read_and_drafts_and_other_dates_are_noted() {
    let folder = clinic(1);
    assert_eq!(unguis_in(folder.path(), ["draft", "cases", "--today", "2026-11-25"]).code, 0);
    let ran = unguis_in(folder.path(), ["issue", "cases", "--today", "2026-11-25", "--only", "consent-form"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let (code, verdict) = verify(folder.path(), &[]);
    assert_eq!(
        (code, listed(&verdict, "notes")),
        (0, vec!["dated-otherwise".into(), "drafts".into()]),
        "{verdict}"
    );
    let out = folder.path().join("out");
    for path in [&out, &out.join("register.jsonl")] {
        fs::set_permissions(path, fs::Permissions::from_mode(0o755)).expect("ours");
    }
    let (code, verdict) = verify(folder.path(), &[]);
    assert_eq!((code, listed(&verdict, "notes").len()), (0, 3), "{verdict}");
    assert!(verdict["notes"][2]["message"].as_str().is_some_and(|says| says.contains("1 file")), "{verdict}");
}

// ------------------------------------------------------------------------------------ printing and ending

/// Names of files can hold anything: nothing of it acts on a terminal, and no line is forged.
#[test]
fn names_of_files_are_shown_and_do_not_act() {
    const HOSTILE: &str = "\u{1b}[2J\nfault[changed]: x\u{202e}fdp.yaml";
    let folder = issued(1);
    fs::write(folder.path().join("out/LFC-0200").join(HOSTILE), "?").expect("written");
    fs::copy(folder.path().join("cases/LFC-0200.yaml"), folder.path().join("cases").join(HOSTILE))
        .expect("copied");
    fs::write(folder.path().join("cases/\u{1b}[2Jnotes.txt"), "?").expect("written");
    let hostile_case = format!("cases/{HOSTILE}");
    let runs: [&[&str]; 8] = [
        &["verify"],
        &["verify", "--out", HOSTILE],
        &["check", "cases", "--today", "2026-11-25"],
        &["check", hostile_case.as_str(), "--format", "short"],
        &["issue", "cases", "--today", "2026-11-25"],
        &["draft", hostile_case.as_str(), "--today", "2026-11-25", "--out", HOSTILE],
        &["outstanding", "cases", "--today", "2026-11-25"],
        &["backup", "copies"],
    ];
    for args in runs {
        let ran = unguis_in(folder.path(), args);
        for text in [&ran.stdout, &ran.stderr] {
            assert!(!text.contains('\u{1b}') && !text.contains('\u{202e}'), "{args:?}: {text:?}");
            assert!(!text.lines().any(|line| line.starts_with("fault[changed]: x")), "{args:?}: {text}");
        }
    }
    let ran = unguis_in(folder.path(), ["verify"]);
    assert!(
        ran.stdout.contains(r"\u{1b}[2J\nfault[changed]: x\u{202e}fdp.yaml` does not belong"),
        "{}",
        ran.stdout
    );
}

#[test]
fn output_that_is_lost_is_a_failure_and_a_reader_that_went_is_none() {
    let folder = issued(1);
    for args in [
        &["verify"][..],
        &["schema", "case"],
        &["check", "cases", "--today", "2026-11-25"],
        &["--help"],
        &["verify", "--help"],
    ] {
        let full = File::options().write(true).open("/dev/full").expect("Linux has it");
        let output = Command::new(PROGRAM)
            .args(args)
            .current_dir(folder.path())
            .stdout(full)
            .output()
            .expect("the program starts");
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{args:?}: {said}");
        assert!(said.contains("not all of the output could be written"), "{args:?}: {said}");
        let script = format!("\"$0\" {} | head -c 1 >/dev/null; exit ${{PIPESTATUS[0]}}", args.join(" "));
        let output = Command::new("bash")
            .args(["-c", &script, PROGRAM])
            .current_dir(folder.path())
            .output()
            .expect("bash starts");
        assert_eq!((output.status.code(), output.stderr.as_slice()), (Some(0), &b""[..]), "{args:?}");
    }
}

#[test]
fn colour_that_is_asked_for_reaches_the_findings_of_issue() {
    let folder = clinic(1);
    let case = folder.path().join("cases/LFC-0200.yaml");
    let text = fs::read_to_string(&case).expect("there");
    fs::write(&case, text.replace("injected: 2.2 ml", "injected: 10.2 ml")).expect("written");
    for (colour, is_coloured) in [("always", true), ("never", false), ("auto", false)] {
        let ran = unguis_in(folder.path(), ISSUE.iter().chain(&["--color", colour]));
        assert_eq!(
            (ran.code, ran.stderr.contains("\u{1b}[")),
            (1, is_coloured),
            "{colour}: {:?}",
            ran.stderr
        );
    }
}

/// A child that waits for the register, which the test holds.
fn waiting(folder: &Path) -> (Child, File) {
    let lock = File::options().write(true).open(folder.join("out/.register.lock")).expect("issued before");
    lock.lock().expect("locked");
    let mut child = Command::new(PROGRAM)
        .args(ISSUE)
        .current_dir(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut said = [0];
    let stderr = child.stderr.as_mut().expect("piped");
    stderr.read_exact(&mut said).expect("it says that it waits");
    (child, lock)
}

#[test]
fn a_crash_leaves_no_memory_behind() {
    let folder = issued(1);
    let (mut child, _lock) = waiting(folder.path());
    let limits = fs::read_to_string(format!("/proc/{}/limits", child.id())).expect("Linux has it");
    child.kill().expect("a child can be killed");
    child.wait().expect("a child can be waited for");
    let core = limits.lines().find(|line| line.starts_with("Max core file size")).unwrap_or_default();
    let words: Vec<&str> = core.split_whitespace().collect();
    assert_eq!(words.get(4..6), Some(&["0", "0"][..]), "{core}");
}

#[test]
fn whoever_reads_is_told_that_it_waits() {
    let folder = issued(1);
    let lock = File::options().write(true).open(folder.path().join("out/.register.lock")).expect("issued");
    lock.lock().expect("locked");
    let mut child = Command::new(PROGRAM)
        .arg("verify")
        .current_dir(folder.path())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut said = [0; 17];
    child.stderr.as_mut().expect("piped").read_exact(&mut said).expect("it says that it waits");
    assert_eq!(&said, b"waiting for a run");
    lock.unlock().expect("unlocked");
    assert!(child.wait().expect("it ends").success());
}

/// The first asks; a run that cannot hear it, here since nobody reads what it prints, is ended by the second.
#[test]
fn a_second_signal_ends_the_run() {
    let mut child = Command::new(PROGRAM)
        .args(["check", "cases/year", "--today", "2026-11-25", "--format", "json"])
        .current_dir(root())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    let mut first = [0];
    child.stdout.as_mut().expect("piped").read_exact(&mut first).expect("it prints more than a pipe holds");
    let began = Instant::now();
    while child.try_wait().expect("a child can be asked").is_none() {
        assert!(began.elapsed() < Duration::from_secs(60), "it does not end");
        let _ = Command::new("kill").args(["-INT", &child.id().to_string()]).status();
        std::thread::sleep(Duration::from_millis(20));
    }
    assert_eq!(child.wait().expect("it has ended").code(), Some(2));
}

#[test]
fn a_reason_that_names_the_patient_is_warned_of() {
    let folder = issued(1);
    let case = folder.path().join("cases/LFC-0200.yaml");
    let text = fs::read_to_string(&case).expect("there");
    for (batch, because, is_warned) in [("M4471", "Imogen Hollis rang", true), ("M4472", "mistyped", false)] {
        let changed =
            text.replace("anaesthetic: mepi", &format!("anaesthetic: {{supply: mepi, batch: {batch}}}"));
        fs::write(&case, changed).expect("written");
        let ran = unguis_in(folder.path(), ISSUE.iter().chain(&["--because", because]));
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        assert_eq!(ran.stderr.contains("seems to name the patient"), is_warned, "{}", ran.stderr);
        assert!(!ran.stderr.contains("Hollis"), "{}", ran.stderr);
    }
}

#[test]
fn issue_prints_the_end_of_the_register_when_it_has_grown() {
    let folder = clinic(1);
    let first = unguis_in(folder.path(), ISSUE);
    let end = end_of(folder.path());
    assert!(first.stderr.contains(&format!("the register ends at {end}\n")), "{}", first.stderr);
    let again = unguis_in(folder.path(), ISSUE);
    assert!(!again.stderr.contains("the register ends"), "{}", again.stderr);
    let ran = unguis_in(folder.path(), ["verify"]);
    assert!(ran.stdout.ends_with(&format!("the register ends at {end}\n")), "{}", ran.stdout);
    let bad = unguis_in(folder.path(), ["verify", "--expect", "4:abc"]);
    assert!(bad.code == 2 && bad.stderr.contains("at least 32 signs"), "{}", bad.stderr);
}

// ------------------------------------------------------------------------------------------------ copies

fn backup(folder: &Path, more: &[&str]) -> Ran {
    unguis_in(folder, ["backup", "copies"].iter().chain(more))
}

fn whole_copy(folder: &Path) -> u64 {
    let (code, verdict) = verify(folder, &["copies"]);
    assert_eq!((code, listed(&verdict, "mismatches")), (0, Vec::new()), "{verdict}");
    verdict["whole"].as_u64().expect("a number")
}

#[test]
fn a_copy_is_made_verified_and_compared_with_the_one_before() {
    let folder = issued(1);
    let first = backup(folder.path(), &[]);
    assert_eq!(first.code, 0, "{}", first.stderr);
    assert!(first.stdout.contains("copies/copy-0001: ") && first.stdout.contains("the first copy there"));
    let sent = unguis_in(folder.path(), SENT);
    assert_eq!(sent.code, 0, "{}", sent.stderr);
    let second = backup(folder.path(), &[]);
    assert!(second.stdout.contains(": 1 entry of what has gone\n"), "{}", second.stdout);
    let third = backup(folder.path(), &["--format", "json"]);
    let json: Value = serde_json::from_str(&third.stdout).expect("JSON");
    assert_eq!((&json["copied"], &json["since"]["entered"]), (&true.into(), &0.into()), "{json}");
    assert_eq!(whole_copy(folder.path()), 8);
    // A copy is a register folder like any other: restored by copying it.
    copy_tree(&folder.path().join("copies/copy-0003"), &folder.path().join("restored"));
    assert_eq!(kinds(folder.path(), &["restored"]), [] as [&str; 0]);
    let ran = unguis_in(folder.path(), ISSUE.iter().chain(&["--out", "copies/copy-0003"]));
    assert!(ran.code == 2 && ran.stderr.contains("is a backup"), "{}", ran.stderr);
    for path in ["copies", "copies/copy-0003", "copies/copy-0003/LFC-0200"] {
        let mode = fs::metadata(folder.path().join(path)).expect("there").permissions().mode() & 0o777;
        assert_eq!(mode, 0o700, "{path}");
    }
}

#[test]
fn a_copy_never_goes_over_something_else_or_over_a_better_one() {
    let folder = issued(1);
    fs::create_dir(folder.path().join("other")).expect("made");
    fs::write(folder.path().join("other/photo.jpg"), "mine").expect("written");
    for (to, says) in [
        ("other", "the folder `other` is not empty and was left as it is"),
        ("cases/LFC-0200.yaml", "where a folder is needed"),
        ("out/copies", "lie in one another"),
        (".", "lie in one another"),
    ] {
        let ran = unguis_in(folder.path(), ["backup", to]);
        assert!(ran.code == 2 && ran.stderr.contains(says), "{to}: {}", ran.stderr);
    }
    assert_eq!(fs::read_dir(folder.path().join("other")).expect("there").count(), 1);
    assert_eq!(backup(folder.path(), &[]).code, 0);
    fs::write(folder.path().join(LETTER), "another letter").expect("written");
    let refused = backup(folder.path(), &[]);
    assert!(refused.code == 1 && refused.stderr.contains("nothing was copied"), "{}", refused.stderr);
    assert!(refused.stdout.contains("fault[truncated]"), "{}", refused.stdout);
    assert_eq!(whole_copy(folder.path()), 8);
    let nothing = unguis_in(folder.path(), ["backup", "copies", "--out", "cases"]);
    assert!(nothing.code == 2 && nothing.stderr.contains("no register"), "{}", nothing.stderr);
}

/// A killed run leaves a whole copy, old or new, and the next run completes the new one.
#[test]
fn a_copy_killed_at_any_point_leaves_a_whole_one() {
    let folder = issued(3);
    assert_eq!(backup(folder.path(), &[]).code, 0);
    let copies = folder.path().join("copies");
    let entries = || -> usize {
        let names = fs::read_dir(&copies).into_iter().flatten().flatten();
        names.map(|entry| 1 + fs::read_dir(entry.path()).map_or(0, |inside| inside.flatten().count())).sum()
    };
    let mut killed = 0;
    for point in 0..24 {
        let began_with = entries();
        let mut child = Command::new(PROGRAM)
            .args(["backup", "copies"])
            .current_dir(folder.path())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts");
        let began = Instant::now();
        let wanted = began_with + point % 8;
        while entries() < wanted && child.try_wait().expect("a child can be asked").is_none() {
            assert!(began.elapsed() < Duration::from_secs(60), "the run hangs");
        }
        let wait = Duration::from_micros((point as u64 * 531) % 4000);
        let now = Instant::now();
        while now.elapsed() < wait {
            std::hint::spin_loop();
        }
        child.kill().expect("a child can be killed");
        killed += usize::from(!child.wait().expect("a child can be waited for").success());
        assert_eq!(whole_copy(folder.path()), 24, "killed at {point}");
    }
    assert!(killed >= 8, "only {killed} of 24 runs were killed before they ended");
    let ran = backup(folder.path(), &[]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let left = fs::read_dir(&copies).expect("there").flatten();
    let left = left.filter(|entry| entry.file_name().to_string_lossy().starts_with("copy-")).count();
    assert_eq!((whole_copy(folder.path()), left), (24, 2));
}

#[test]
fn a_copy_onto_a_full_disk_leaves_the_one_before() {
    // No file may be larger than so many blocks.
    for blocks in [0, 1, 20, 60] {
        let folder = issued(1);
        if blocks != 0 {
            assert_eq!(backup(folder.path(), &[]).code, 0);
            assert_eq!(unguis_in(folder.path(), SENT).code, 0);
            // Nothing can share its place: the copy before has to be written anew.
            fs::remove_dir_all(folder.path().join("copies/copy-0001/LFC-0200")).expect("removed");
            let register = folder.path().join("copies/copy-0001");
            copy_tree(&folder.path().join("out/LFC-0200"), &register.join("LFC-0200"));
            fs::remove_file(register.join("LFC-0200/LFC-0200-consent-form-1.pdf")).expect("removed");
        }
        let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" backup copies");
        let output = Command::new("sh")
            .args(["-c", &script, PROGRAM])
            .current_dir(folder.path())
            .output()
            .expect("a shell starts");
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{blocks}: {said}");
        assert!(
            said.contains("could not write `copies/") && said.contains("help: make room"),
            "{blocks}: {said}"
        );
        let names: Vec<String> = fs::read_dir(folder.path().join("copies"))
            .map(|names| {
                names.flatten().map(|name| name.file_name().to_string_lossy().into_owned()).collect()
            })
            .unwrap_or_default();
        assert!(!names.iter().any(|name| name.contains("0002") || name.contains("unfinished")), "{names:?}");
        assert_eq!(names.contains(&"copy-0001".to_owned()), blocks != 0, "{names:?}");
        let ran = backup(folder.path(), &[]);
        assert_eq!(ran.code, 0, "{blocks}: {}", ran.stderr);
        assert_eq!(whole_copy(folder.path()), 8);
    }
}

/// A disk that really is full, where one can be mounted.
#[test]
fn a_disk_that_is_full_is_said_and_its_copy_stays_whole() {
    let folder = issued(2);
    let disk = folder.path().join("copies");
    fs::create_dir(&disk).expect("made");
    let mount = |size: &str| {
        let options = format!("size={size},mode=700");
        let disk = disk.display().to_string();
        Command::new("mount").args(["-t", "tmpfs", "-o", &options, "none", &disk]).output()
    };
    if !mount("4m").is_ok_and(|output| output.status.success()) {
        return;
    }
    let mounted = Mounted(disk.clone());
    // `lost+found` and its like would be something else; this is the root of an empty disk.
    assert_eq!(backup(folder.path(), &[]).code, 0);
    let free = || tool("df", &["--output=avail", "-k", &disk.display().to_string()]);
    let free: u64 = free().lines().last().and_then(|line| line.trim().parse().ok()).expect("a number");
    fs::write(folder.path().join("cases/LFC-0202.yaml"), {
        let text = fs::read_to_string(folder.path().join("cases/LFC-0200.yaml")).expect("there");
        text.replace("LFC-0200", "LFC-0202")
    })
    .expect("written");
    assert_eq!(unguis_in(folder.path(), ISSUE).code, 0);
    for left in [0, 4, 40, 200] {
        fs::write(
            disk.join(".filler"),
            vec![0; usize::try_from((free.saturating_sub(left)) * 1024).expect("small")],
        )
        .unwrap_or_default();
        let ran = backup(folder.path(), &[]);
        assert_eq!(ran.code, 2, "{left}: {}", ran.stdout);
        assert!(ran.stderr.contains("help: make room"), "{left}: {}", ran.stderr);
        assert_eq!(whole_copy(folder.path()), 16, "{left}");
        fs::remove_file(disk.join(".filler")).expect("removed");
    }
    assert_eq!(backup(folder.path(), &[]).code, 0);
    assert_eq!(whole_copy(folder.path()), 24);
    drop(mounted);
}

/// A disk that is taken off again.
struct Mounted(PathBuf);

impl Drop for Mounted {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

#[test]
fn two_copies_at_once_are_made_one_after_the_other() {
    let folder = issued(2);
    let start = || {
        Command::new(PROGRAM)
            .args(["backup", "copies"])
            .current_dir(folder.path())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts")
    };
    let mut both = [start(), start()];
    for child in &mut both {
        assert!(child.wait().expect("a child can be waited for").success());
    }
    assert_eq!(whole_copy(folder.path()), 16);
    assert!(folder.path().join("copies/copy-0002").is_dir());
}
