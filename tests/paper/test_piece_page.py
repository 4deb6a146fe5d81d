"""The page in three dimensions: what it holds, and in a real browser: no error, and the controls change the picture."""

import re
import shutil
import subprocess
from dataclasses import replace

import pytest

from pourwright.paper.piece_page import piece_html

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
BAD = "</script><script>alert(1)</script>"
TRY = """<script type="module">
const canvas = document.getElementById("view");
const picture = () => new Promise((done) => requestAnimationFrame(() => {
  document.getElementById("controls").dispatchEvent(new Event("input"));
  done(canvas.toDataURL());
}));
const seen = [await picture()];
document.getElementById("back").click();
seen.push(await picture());
document.getElementById("skin").checked = false;
seen.push(await picture());
document.getElementById("cut").value = 50;
seen.push(await picture());
const number = document.getElementById("number").value;
document.title = `tried ${new Set(seen).size} ${await picture() === seen[3]} ${number}`;
</script></body>"""


def test_it_holds_everything_and_fetches_nothing(stool_plan):
    text = piece_html(stool_plan)
    links = re.findall(r'(?:src|href)="([^"]*)"', text)
    assert links == []
    assert text.count("data:text/javascript;base64,") == 2
    assert "default-src 'none'" in text
    assert f'max="{len(stool_plan.lift_plan.lifts)}"' in text
    assert piece_html(stool_plan) == text


def test_names_end_no_element(stool_plan):
    before = piece_html(stool_plan).count("<script")
    plan = replace(stool_plan, job=replace(stool_plan.job, name=BAD, place="x" * 3000))
    vents = tuple(replace(vent, name=BAD) for vent in plan.lift_plan.vents)
    text = piece_html(replace(plan, lift_plan=replace(plan.lift_plan, vents=vents)))
    assert text.count("<script") == before


@pytest.mark.slow
@pytest.mark.skipif(CHROMIUM is None, reason="needs a browser")
def test_in_a_browser_without_errors_and_the_controls_change_the_picture(stool_plan, tmp_path):
    page = tmp_path / "piece.html"
    page.write_text(piece_html(stool_plan).replace("</body>", TRY), encoding="utf-8")
    done = subprocess.run(
        [
            CHROMIUM, "--headless", "--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
            "--enable-logging=stderr", f"--user-data-dir={tmp_path / 'profile'}", "--window-size=900,700",
            "--virtual-time-budget=8000", "--dump-dom", page.as_uri(),
        ],
        capture_output=True, text=True, timeout=180,
    )  # fmt: skip
    assert "CONSOLE" not in done.stderr, [line for line in done.stderr.splitlines() if "CONSOLE" in line]
    lifts = len(stool_plan.lift_plan.lifts)
    tried = re.search(r"<title>(tried [^<]*)</title>", done.stdout)
    assert tried, done.stderr[-2000:]
    assert tried[1] == f"tried 4 true {lifts - 1} of {lifts}"
