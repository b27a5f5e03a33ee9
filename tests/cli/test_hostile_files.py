"""Files that try to make the reader open something else: a listener sees no connection, a planted file is
never read.
"""

from __future__ import annotations

import json
import socket
import threading
import warnings
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import boundary_builders as s
import pyogrio
import pytest
from boundary_builders import SQUARE
from conftest import unwrapped

from fieldplan.boundary import located
from fieldplan.boundary.archive import MAX_ZIP_MEMBERS
from fieldplan.boundary.readers.listing import NOTHING_REMOTE
from fieldplan.cli.main import exit_code

SECRET = "harrier-nest-of-nobody"


@dataclass(slots=True)
class Listener:
    """A server on loopback that counts who calls and answers with a boundary."""

    server: socket.socket
    calls: list[str] = field(default_factory=list)

    @property
    def address(self) -> str:
        """Where it listens."""
        return f"http://127.0.0.1:{self.server.getsockname()[1]}"

    def serve(self) -> None:
        """Note each caller and answer."""
        while True:
            try:
                caller, _ = self.server.accept()
            except OSError:
                return
            with caller:
                self.calls.append(caller.recv(200).decode("latin-1").partition("\r\n")[0])
                body = b'{"type":"FeatureCollection","features":[]}'
                caller.sendall(
                    b"HTTP/1.1 200 OK\r\nContent-Length: %d\r\nConnection: close\r\n\r\n%s"
                    % (len(body), body)
                )


@pytest.fixture
def listener() -> Iterator[Listener]:
    """A listener for the time of one test."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        one = Listener(server)
        threading.Thread(target=one.serve, daemon=True).start()
        yield one
        server.shutdown(socket.SHUT_RDWR)


@pytest.fixture
def planted(tmp_path: Path) -> Path:
    """A file that no boundary may lead to."""
    place = tmp_path / "private"
    place.mkdir()
    return s.table(place / "planted.csv", f"SRID=4326;{SQUARE.wkt}", names=[SECRET])


def _virtual(source: str) -> str:
    return (
        f'<OGRVRTDataSource><OGRVRTLayer name="planted"><SrcDataSource>{source}</SrcDataSource>'
        "<SrcLayer>planted</SrcLayer></OGRVRTLayer></OGRVRTDataSource>"
    )


def _entity(planted: Path, root: str, body: str) -> str:
    return f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e SYSTEM "{planted.as_uri()}">]><{root}>{body}&e;</{root}>'


def _gml(address: str, planted: Path) -> str:
    return (
        '<gml:FeatureCollection xmlns:gml="http://www.opengis.net/gml" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xsi:schemaLocation="http://example.org {address}/s.xsd">'
        f'<gml:featureMember><f><gml:name xlink:href="{address}/name"/><gml:polygonProperty xlink:href="{planted.as_uri()}#a"/>'
        "</f></gml:featureMember></gml:FeatureCollection>"
    )


Attack = Callable[[Path, str, Path], Path]


def _named(name: str, text: Callable[[str, Path], str]) -> Attack:
    def make(folder: Path, address: str, planted: Path) -> Path:
        path = folder / name
        path.write_text(text(address, planted), encoding="utf-8")
        return path

    return make


def _zip_with_link(folder: Path, _address: str, planted: Path) -> Path:
    """A zip whose member is a link to the planted file."""
    path = folder / "link.zip"
    with zipfile.ZipFile(path, "w") as archive:
        member = zipfile.ZipInfo("fields.csv")
        member.external_attr = 0o120777 << 16
        archive.writestr(member, str(planted))
    return path


def _geodatabase_with_link(folder: Path, _address: str, planted: Path) -> Path:
    path = s.vector(folder / "fields.gdb", SQUARE, driver="OpenFileGDB")
    (path / "a0000000b.gdbtable").symlink_to(planted)
    return path


ATTACKS: dict[str, Attack] = {
    **{
        f"virtual file named {ending}": _named(
            f"fields{ending}", lambda address, _: _virtual(f"{address}/x.geojson")
        )
        for ending in (".vrt", ".shp", ".geojson", ".kml", ".gpkg", ".csv", ".gml")
    },
    "virtual file onto a planted one": _named("fields.shp", lambda _, planted: _virtual(f"CSV:{planted}")),
    "virtual file in a zip": lambda f, address, _: s.zipped(
        f / "a.zip", {"fields.kml": _virtual(f"{address}/x.geojson")}
    ),
    "virtual file after another root": _named(
        "fields.kml", lambda address, _: "<kml/>" + _virtual(f"{address}/x.geojson")
    ),
    "virtual file in a remark": _named(
        "fields.kml", lambda address, _: f"<!-- {_virtual(address + '/x')} --><kml><Document/></kml>"
    ),
    "algorithm as a file": _named(
        "fields.json",
        lambda address, _: json.dumps(
            {
                "type": "gdal_streamed_alg",
                "command_line": f"gdal vector read {address}/x.geojson ! write streamed_dataset",
            }
        ),
    ),
    "map server as a file": _named(
        "fields.xml", lambda address, _: f"<OGRWFSDataSource><URL>{address}</URL></OGRWFSDataSource>"
    ),
    "address as a name": lambda _, address, __: Path(f"{address}/fields.geojson"),
    "remote prefix": lambda _, address, __: Path(f"/vsicurl/{address}/fields.geojson"),
    "remote prefix, streamed": lambda _, address, __: Path(f"/vsicurl_streaming/{address}/fields.geojson"),
    "driver prefix": lambda _, address, __: Path(f"GeoJSON:{address}/fields.geojson"),
    "entity in KML": _named("fields.kml", lambda _, planted: _entity(planted, "kml", "")),
    "entity in GPX": _named("fields.gpx", lambda _, planted: _entity(planted, "gpx", "")),
    "entity in GML, other encoding": lambda f, _, planted: _in_utf16(
        f / "fields.gml", _entity(planted, "x", "")
    ),
    "places that GML refers to": _named("fields.gml", _gml),
    "schema that GML asks a server for": _named(
        "fields.gml",
        lambda address, _: (
            '<wfs:FeatureCollection xmlns:wfs="http://www.opengis.net/wfs" xmlns:gml="http://www.opengis.net/gml" xmlns:ns="http://example.org" '
            'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" '
            f'xsi:schemaLocation="http://example.org {address}/w?SERVICE=WFS&amp;REQUEST=DescribeFeatureType&amp;TYPENAME=ns:f">'
            "<gml:featureMember><ns:f><ns:n>1</ns:n></ns:f></gml:featureMember></wfs:FeatureCollection>"
        ),
    ),
    "virtual file in another encoding": lambda f, address, _: _in_utf16(
        f / "fields.kml",
        f'<?xml version="1.0"?><kml><Document>{_virtual(address + "/x.geojson")}</Document></kml>',
    ),
    "reference system in a file": lambda f, _, planted: s.geojson(
        f / "fields.geojson", SQUARE, crs={"type": "name", "properties": {"name": f"+init={planted}:x"}}
    ),
    "links in KML": lambda f, address, _: s.kml(
        f / "fields.kml",
        s.kml_ring(SQUARE),
        more=f"<NetworkLink><Link><href>{address}/x.kml</href></Link></NetworkLink>"
        f"<GroundOverlay><Icon><href>{address}/x.png</href></Icon></GroundOverlay>"
        f"<Placemark><styleUrl>{address}/s.kml#a</styleUrl></Placemark>",
    ),
    "reference system at an address": lambda f, address, _: s.geojson(
        f / "fields.geojson",
        SQUARE,
        crs={"type": "link", "properties": {"href": f"{address}/crs", "type": "proj4"}},
    ),
    "link in a zip": _zip_with_link,
    "link in a geodatabase": _geodatabase_with_link,
}


def _in_utf16(path: Path, text: str) -> Path:
    path.write_text(text.replace('version="1.0"', 'version="1.0" encoding="UTF-16"'), encoding="utf-16")
    return path


@pytest.mark.parametrize("name", ATTACKS)
def test_nothing_else_is_opened(
    name: str, tmp_path: Path, planted: Path, listener: Listener, capfd: pytest.CaptureFixture[str]
) -> None:
    """Nobody calls the listener, the planted text never shows, and the file is read as what it is or
    refused.
    """
    path = ATTACKS[name](tmp_path, listener.address, planted)
    code = exit_code(["check", str(path), "--json"])
    printed = "".join(capfd.readouterr())
    assert code == (0 if name == "links in KML" else 3)
    assert listener.calls == []
    assert SECRET not in printed


def test_the_attacks_work_without_the_guard(tmp_path: Path, planted: Path, listener: Listener) -> None:
    """The bare library, given the same files, calls out and reads the planted one: the test above has
    teeth.
    """
    pyogrio.set_gdal_config_options(dict.fromkeys(NOTHING_REMOTE))
    fell_for = set()
    for name, make in ATTACKS.items():
        folder = tmp_path / f"{len(fell_for)} {name}"
        folder.mkdir()
        path = make(folder, listener.address, planted)
        before = len(listener.calls)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            try:
                read = str(pyogrio.read_dataframe(str(path).replace("http:/1", "http://1")).to_dict())
            except Exception:
                read = ""
        if len(listener.calls) > before or SECRET in read:
            fell_for.add(name)
    assert {
        "virtual file named .shp",
        "virtual file named .geojson",
        "virtual file onto a planted one",
    } <= fell_for
    assert {
        "address as a name",
        "virtual file after another root",
        "schema that GML asks a server for",
    } <= fell_for


def test_vertex_limit_holds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A feature of more vertices than the limit is refused; one of fewer is read."""
    path = s.geojson(tmp_path / "fields.geojson", SQUARE)
    monkeypatch.setattr(located, "MAX_VERTICES", 5)
    assert exit_code(["check", str(path)]) == 0
    monkeypatch.setattr(located, "MAX_VERTICES", 4)
    assert exit_code(["check", str(path)]) == 3
    assert "over 4 vertices" in unwrapped(capsys.readouterr().out)


def test_member_limit_is_the_limit(tmp_path: Path) -> None:
    """As many files as are allowed are read, one more are not."""
    boundary = s.geojson(tmp_path / "fields.geojson", SQUARE).read_bytes()
    others: dict[str, Path | bytes | str] = {f"{i}.txt": "x" for i in range(MAX_ZIP_MEMBERS - 1)}
    assert (
        exit_code(["check", str(s.zipped(tmp_path / "a.zip", {"fields.geojson": boundary, **others}))]) == 0
    )
    assert (
        exit_code(
            [
                "check",
                str(s.zipped(tmp_path / "b.zip", {"fields.geojson": boundary, "more.txt": "x", **others})),
            ]
        )
        == 3
    )


@pytest.mark.parametrize(
    "name", ["a!b.geojson", "zip:x.geojson", "GeoJSON:x.geojson", "fields 50%.geojson", "-q.geojson"]
)
def test_a_name_is_only_a_name(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Names that the libraries take for commands are read like any other."""
    s.geojson(tmp_path / name, SQUARE)
    monkeypatch.chdir(tmp_path)
    assert exit_code(["check", "--", name]) == 0
