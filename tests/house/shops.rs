//! Settings that list several shops: each is read from its own folder, and what two cannot both have is refused by name.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use gudgeon::config::Config;
use gudgeon::shops::listed;
use tempfile::TempDir;

/// A folder with a list of these shops, each with its settings.
fn list(shops: &[(&str, &str)]) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    for (name, settings) in shops {
        fs::create_dir_all(folder.path().join(name)).unwrap();
        fs::write(folder.path().join(name).join("gudgeon.toml"), settings).unwrap();
    }
    let names: Vec<&str> = shops.iter().map(|(name, _)| *name).collect();
    let file = folder.path().join("shops.toml");
    fs::write(&file, format!("shops = {names:?}\n")).unwrap();
    (folder, file)
}

fn read(file: &Path) -> Result<Vec<Config>, String> {
    let config = Config::load(Some(file)).map_err(|error| format!("{error:#}"))?;
    listed(Some(file), &config, |_| None).map_err(|error| format!("{error:#}"))
}

#[test]
fn each_shop_is_read_from_its_own_folder() {
    let (folder, file) = list(&[
        ("quay", "shop = \"Quay\"\ndigest_hour = 7\n[page]\nlisten = \"127.0.0.1:0\"\n[discord]\nguild = 1\n"),
        ("yard", "shop = \"Yard\"\ntime_zone = \"Atlantic/Faroe\"\n[page]\nserve = false\n[discord]\nguild = 2\n"),
    ]);
    let shops = read(&file).unwrap();
    let names: Vec<&str> = shops.iter().map(|shop| shop.shop.as_str()).collect();
    assert_eq!(names, ["Quay", "Yard"]);
    assert_eq!(shops[1].data, folder.path().join("yard").join("data"));
    assert!(shops[0].page.serve && !shops[1].page.serve);
    assert_eq!(read(&folder.path().join("quay/gudgeon.toml")), Ok(Vec::new()), "a shop's own file lists none");
}

#[test]
fn what_two_shops_cannot_both_have_is_refused_with_both_names() {
    let no_page = "[page]\nserve = false\n";
    let with = |first: &str, second: &str| {
        let (_folder, file) = list(&[("quay", first), ("yard", second)]);
        read(&file).unwrap_err()
    };
    let guild = format!("{no_page}[discord]\nguild = 7\n");
    let data = format!("data = \"../kept\"\n{no_page}");
    for (error, parts) in [
        (with(&guild, &guild), ["discord.guild", "7", "one server for two shops"]),
        (with(&data, &data), ["data", "kept", "one record for two shops"]),
        (with("", ""), ["page.listen", "127.0.0.1:8470", "a port of its own"]),
        (with("", "[page]\nlisten = \"0.0.0.0:8470\"\n"), ["page.listen", "8470", "a port of its own"]),
        (
            with(
                "[page]\naddress = \"https://shop.local\"\nlisten = \"127.0.0.1:1\"\n",
                "[page]\naddress = \"https://Shop.local/\"\nlisten = \"127.0.0.1:2\"\n",
            ),
            ["page.address", "https://shop.local", "one address for two pages"],
        ),
        (with("", "shops = [\"x\"]\n"), ["shops: ", "yard", "lists shops itself"]),
        (with("", "libary = \"x\"\n"), ["shops: ", "yard", "libary"]),
    ] {
        assert!(parts.iter().all(|part| error.contains(part)), "{parts:?}: {error}");
    }
    for error in [with(&guild, &guild), with(&data, &data), with("", "")] {
        assert!(error.contains("quay") && error.contains("yard"), "{error}");
    }
    let (folder, _) = list(&[("quay", no_page)]);
    let twice = folder.path().join("twice.toml");
    for (text, part) in [
        ("shops = [\"quay\", \"./quay/../quay\"]\n", "one folder for two shops"),
        ("shops = [\"quay\", \"nowhere\"]\n", "nowhere"),
        ("shops = [\"quay\"]\nshop = \"Quay\"\n", "shop belongs into the gudgeon.toml of each"),
    ] {
        fs::write(&twice, text).unwrap();
        let error = read(&twice).unwrap_err();
        assert!(error.contains(part), "{part}: {error}");
    }
    // By another road to the same record.
    #[cfg(unix)]
    {
        let (folder, file) = list(&[("quay", no_page), ("yard", no_page)]);
        fs::create_dir_all(folder.path().join("quay/data")).unwrap();
        std::os::unix::fs::symlink(folder.path().join("quay/data"), folder.path().join("yard/data")).unwrap();
        assert!(read(&file).unwrap_err().contains("one record for two shops"));
    }
}

#[test]
fn a_variable_that_would_be_laid_over_every_shop_is_refused_by_name() {
    let (_folder, file) = list(&[("quay", "")]);
    let config = Config::load(Some(&file)).unwrap();
    let set = |name: &str| (name == "GUDGEON_DATA").then(|| "elsewhere".to_owned());
    let error = listed(Some(&file), &config, set).unwrap_err().to_string();
    assert!(error.contains("GUDGEON_DATA is set"), "{error}");
}

/// The program with that list.
fn program(folder: &TempDir) -> Command {
    let mut program = Command::new(env!("CARGO_BIN_EXE_gudgeon"));
    program.current_dir(folder.path()).env_remove("GUDGEON_DISCORD_TOKEN").args(["--config", "shops.toml"]);
    program
}

#[test]
fn the_program_speaks_of_every_shop_and_says_a_line_only_to_one() {
    let (folder, _) = list(&[
        ("quay", "shop = \"Quay\"\n[page]\nserve = false\n[discord]\nguild = 1\n"),
        ("yard", "shop = \"Yard\"\n[page]\nserve = false\n[discord]\nguild = 2\n"),
    ]);
    let run = |words: &[&str]| {
        let done = program(&folder).args(words).output().unwrap();
        let said = String::from_utf8_lossy(&done.stdout).into_owned() + &String::from_utf8_lossy(&done.stderr);
        (done.status.code(), said)
    };
    let (code, said) = run(&["discord", "check"]);
    assert!(code == Some(2) && said.contains("Quay:\ntoken: ") && said.contains("Yard:\ntoken: "), "{said}");
    let (code, said) = run(&["discord", "invite", "300"]);
    assert!(code == Some(0) && said.contains("guild_id=1&") && said.contains("guild_id=2&"), "{said}");
    let (code, said) = run(&["say", "convert 1in mm"]);
    assert!(code == Some(1) && said.contains("--config SHOP/gudgeon.toml"), "{said}");
    let (code, said) = run(&["--data", "elsewhere", "serve"]);
    assert!(code == Some(1) && said.contains("--data and --library are for one shop"), "{said}");
    let (code, said) = run(&["serve"]);
    assert!(code == Some(1) && said.contains("there is no door to open"), "{said}");
    fs::write(folder.path().join("quay/gudgeon.toml"), "[page]\nlisten = \"127.0.0.1:0\"\n").unwrap();
    fs::write(folder.path().join("yard/gudgeon.toml"), "[page]\nserve = false\n[discord]\ntoken_file = \"token\"\n")
        .unwrap();
    fs::write(folder.path().join("yard/token"), "a.b.c").unwrap();
    let (code, said) = run(&["serve"]);
    assert!(code == Some(1) && said.contains("discord.guild: name the shop's server"), "{said}");
}

#[test]
fn pages_of_several_shops_are_served_side_by_side_and_a_broken_record_shuts_its_own_alone() {
    let page = |name: &str| format!("shop = \"{name}\"\ndemo = false\n[page]\nlisten = \"127.0.0.1:0\"\n");
    let (folder, _) = list(&[("quay", &page("Quay")), ("broken", &page("Broken")), ("yard", &page("Yard"))]);
    fs::create_dir_all(folder.path().join("broken/data")).unwrap();
    fs::write(folder.path().join("broken/data/record.sqlite"), "no record at all, and long enough".repeat(40)).unwrap();
    let mut child = program(&folder).arg("serve").stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
    let mut addresses = Vec::new();
    let mut said = String::new();
    while addresses.len() < 2 {
        let line = lines.next().unwrap_or_else(|| panic!("it ended: {said}"));
        addresses.extend(line.strip_prefix("http://").map(|rest| rest.trim_end_matches('/').to_owned()));
        said += &format!("{line}\n");
    }
    assert!(said.contains("Broken:\nIt is shut"), "{said}");
    for (address, own, other) in [(&addresses[0], "Quay", "Yard"), (&addresses[1], "Yard", "Quay")] {
        let mut stream = TcpStream::connect(address).unwrap();
        write!(stream, "GET /door HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").unwrap();
        let mut page = String::new();
        stream.read_to_string(&mut page).unwrap();
        assert!(page.contains(own) && !page.contains(other), "{address}: {page}");
    }
    child.kill().unwrap();
    child.wait().unwrap();
}
