//! Archives of meshes.

use std::time::{Duration, Instant};

use super::*;

#[test]
fn one_bad_mesh_does_not_spoil_the_others() {
    let stl = stl_cube();
    let mut cut = stl.clone();
    cut.truncate(200);
    let files = opened(zip_of(&[
        ("parts/a.stl", &stl),
        ("parts/b.stl", &cut),
        ("read me.txt", b"good morning"),
        ("__MACOSX/parts/._a.stl", b"\0\0"),
        ("parts/.hidden.stl", &stl),
        (
            "parts/c.AMF",
            &amf("", &format!("<object id=\"1\">{}</object>", amf_mesh())),
        ),
        ("picture.jpg", b"\xff\xd8\xff\xe0 and so on"),
        ("data.bin", &[7u8; 300]),
    ]))
    .unwrap();
    let seen: Vec<(&str, bool)> = files
        .iter()
        .map(|f| (f.inner.as_deref().unwrap(), f.drawing.is_ok()))
        .collect();
    assert_eq!(
        seen,
        [
            ("parts/a.stl", true),
            ("parts/b.stl", false),
            ("parts/c.AMF", true)
        ]
    );
}

#[test]
fn an_archive_without_a_mesh_says_what_it_holds() {
    let sentence = refused(zip_of(&[
        ("a.txt", b"a"),
        ("b.pdf", b"%PDF-1.4"),
        ("c.txt", b"c"),
        ("d.txt", b"d"),
    ]));
    assert!(
        sentence.contains(
            "no mesh, only \"a.txt\", \"b.pdf\", \"c.txt\" and 1 more; ask for the part as a mesh"
        ),
        "{sentence}"
    );
    assert!(refused(zip_of(&[])).contains("holds no files"));
}

#[test]
fn packages_inside_an_archive_are_read_one_level_deep() {
    let threemf = package(&model(
        "",
        &cube_object(r#"id="1""#),
        r#"<item objectid="1"/>"#,
    ));
    let inner = zip_of(&[("x.stl", &stl_cube())]);
    let office = zip_of(&[
        ("_rels/.rels", b"<Relationships/>"),
        ("word/document.xml", b"<w/>"),
    ]);
    let files = opened(zip_of(&[
        ("a.3mf", &threemf),
        ("inner.zip", &inner),
        ("letter.docx", &office),
        ("b.stl.gz", &gz_of(&stl_cube())),
        ("deep.zip", &zip_of(&[("inner.zip", &inner)])),
    ]))
    .unwrap();
    let seen: Vec<(&str, Option<&str>)> = files
        .iter()
        .map(|f| {
            (
                f.inner.as_deref().unwrap(),
                f.drawing.as_ref().ok().map(|d| d.format),
            )
        })
        .collect();
    assert_eq!(
        seen,
        [
            ("a.3mf", Some("3MF")),
            ("inner.zip/x.stl", Some("STL")),
            ("b.stl.gz", Some("STL")),
            ("deep.zip/inner.zip", None)
        ]
    );
    let why = files[3].drawing.clone().unwrap_err().to_string();
    assert!(why.contains("inside an archive inside an archive"), "{why}");
    let thrice = gz_of(&gz_of(&gz_of(&stl_cube())));
    assert!(refused(thrice).contains("inside an archive inside an archive"));
    assert_eq!(drawing(gz_of(&gz_of(&stl_cube()))).format, "STL");
}

#[test]
fn paths_that_climb_out_are_only_names() {
    let files = opened(zip_of(&[
        ("../../etc/a.stl", &stl_cube()),
        ("/abs/b.stl", &stl_cube()),
        ("c\\..\\d\u{202e}.stl", &stl_cube()),
    ]))
    .unwrap();
    let names: Vec<&str> = files.iter().filter_map(|f| f.inner.as_deref()).collect();
    assert_eq!(names, ["etc/a.stl", "abs/b.stl", "c/d?.stl"]);
}

#[test]
fn a_bomb_is_refused_before_it_is_unpacked() {
    let zeros = vec![0u8; 8 << 20];
    let bomb = zip_of(&[("a.stl", &zeros), ("b.stl", &zeros)]);
    let started = Instant::now();
    let error = open(bomb, 10 << 20).unwrap_err();
    assert_eq!(
        error,
        MeshError::OverLimit {
            unpacked_bytes: 16 << 20,
            limit_bytes: 10 << 20
        }
    );
    assert!(started.elapsed() < Duration::from_secs(1));
    let error = open(gz_of(&zeros), 1 << 20).unwrap_err();
    assert!(matches!(error, MeshError::OverLimit { .. }), "{error}");
}

/// Overwrites the declared unpacked size in the local header (APPNOTE 4.3.7) and in the central one (4.3.12).
fn declaring(mut zip: Vec<u8>, bytes: u32) -> Vec<u8> {
    let central = zip.windows(4).position(|w| w == b"PK\x01\x02").unwrap();
    zip[22..26].copy_from_slice(&bytes.to_le_bytes());
    zip[central + 24..central + 28].copy_from_slice(&bytes.to_le_bytes());
    zip
}

#[test]
fn a_bomb_that_lies_about_its_size_is_stopped_while_unpacking() {
    let zeros = vec![0u8; 64 << 20];
    let lying = declaring(zip_of(&[("a.stl", &zeros)]), 100);
    let started = Instant::now();
    let [file] = <[Opened; 1]>::try_from(opened(lying).unwrap()).unwrap();
    let why = file.drawing.unwrap_err().to_string();
    assert!(
        why.contains("does not unpack to the 100 bytes that the archive says"),
        "{why}"
    );
    assert!(started.elapsed() < Duration::from_secs(1));
    let lying = declaring(zip_of(&[("3D/3dmodel.model", &zeros)]), 100);
    assert!(refused(lying).contains("to the 100 bytes"));
    // A gz file has its length at its end (RFC 1952, 2.3.1).
    let mut gz = gz_of(&zeros);
    let end = gz.len() - 4;
    gz[end..].copy_from_slice(&10u32.to_le_bytes());
    let error = open(gz, 1 << 20).unwrap_err();
    assert!(matches!(error, MeshError::OverLimit { .. }), "{error}");
}

#[test]
fn locked_and_oddly_packed_files_are_refused() {
    let zip = zip_of(&[("a.stl", &stl_cube())]);
    let central = zip.windows(4).position(|w| w == b"PK\x01\x02").unwrap();
    let mut locked = zip.clone();
    // General purpose bit 0 (APPNOTE 4.4.4).
    locked[6] |= 1;
    locked[central + 8] |= 1;
    let sentence = refused(locked);
    assert!(sentence.contains("locked with a password"), "{sentence}");
    let mut odd = zip;
    // Method 12, bzip2 (APPNOTE 4.4.5).
    odd[8] = 12;
    odd[central + 10] = 12;
    let [file] = <[Opened; 1]>::try_from(opened(odd).unwrap()).unwrap();
    let why = file.drawing.unwrap_err().to_string();
    assert!(
        why.contains("packed in a way that is not read (Bzip2); ask for a zip archive"),
        "{why}"
    );
}

#[test]
fn too_many_files_are_refused() {
    let names: Vec<String> = (0..10_001).map(|i| i.to_string()).collect();
    let files: Vec<(&str, &[u8])> = names.iter().map(|n| (n.as_str(), &b""[..])).collect();
    assert!(refused(zip_of(&files)).contains("10001 files, more than the 10000"));
}
