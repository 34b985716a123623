"""Production refuses to start half set up, and is tight once it starts; DEVELOPERS.md names every setting."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher
from django.test import Client

ROOT = Path(__file__).resolve().parents[2]
SECRET = "0123456789abcdefghijklmnopqrstuvwxyz" * 2


def run(script, environment) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, env=environment, capture_output=True, text=True, check=False
    )


def start(tmp_path, code="", **variables) -> subprocess.CompletedProcess:
    """Start Django in a process of its own with just these variables."""
    environment = {
        "PATH": os.environ["PATH"],
        "DJANGO_SETTINGS_MODULE": "yard.config.settings",
        "SLABWRIGHT_DATA_DIR": str(tmp_path),
        **variables,
    }
    script = "import django; django.setup(); from django.conf import settings as s\n" + code
    return run(script, environment)


def printed(tmp_path, expression, **variables) -> str:
    done = start(tmp_path, f"print({expression})", **variables)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


@pytest.mark.parametrize("secret", [{}, {"SLABWRIGHT_SECRET_KEY": ""}, {"SLABWRIGHT_SECRET_KEY": "short"}])
def test_production_without_a_real_secret_refuses_to_start(tmp_path, secret):
    done = start(tmp_path, SLABWRIGHT_MODE="production", **secret)
    assert done.returncode != 0
    assert "SLABWRIGHT_SECRET_KEY" in done.stderr


def test_unknown_mode_refuses_to_start(tmp_path):
    done = start(tmp_path, SLABWRIGHT_MODE="prod")
    assert "production, development, demo, test" in done.stderr


@pytest.mark.skipif((ROOT / ".env").exists(), reason="this checkout has settings of its own")
def test_mode_is_production_when_nothing_is_said(tmp_path):
    assert "SLABWRIGHT_SECRET_KEY" in start(tmp_path).stderr


def test_production_is_tight(tmp_path):
    told = (
        "s.DEBUG, s.SESSION_COOKIE_SECURE, s.CSRF_COOKIE_SECURE, s.SECURE_SSL_REDIRECT, s.SECURE_HSTS_SECONDS > 0,"
        "s.PASSWORD_HASHERS[0].rsplit('.')[-1], s.STORAGES['staticfiles']['BACKEND'].rsplit('.')[-1]"
    )
    line = printed(tmp_path, told, SLABWRIGHT_MODE="production", SLABWRIGHT_SECRET_KEY=SECRET)
    assert line == "False True True True True Argon2PasswordHasher CompressedManifestStaticFilesStorage"


def test_check_for_deployment_finds_nothing(tmp_path):
    code = "from django.core.management import call_command as c; c('check', deploy=True, fail_level='WARNING')"
    done = start(tmp_path, code, SLABWRIGHT_MODE="production", SLABWRIGHT_SECRET_KEY=SECRET)
    assert done.returncode == 0, done.stderr


def test_yard_without_https_on_its_own_network_is_possible(tmp_path):
    line = printed(
        tmp_path,
        "s.SESSION_COOKIE_SECURE, s.SECURE_SSL_REDIRECT",
        SLABWRIGHT_MODE="production",
        SLABWRIGHT_SECRET_KEY=SECRET,
        SLABWRIGHT_HTTPS="no",
    )
    assert line == "False False"


@pytest.mark.parametrize(("mode", "kind"), [("demo", "sqlite3"), ("test", "sqlite3"), ("development", "postgresql")])
def test_demo_and_tests_leave_the_settings_of_a_real_yard_unread(tmp_path, mode, kind):
    (tmp_path / ".env").write_text("DATABASE_URL=postgres://real@db/yard\n")
    script = "import yard.config.env as e, pathlib; e_load = e.load_file\n"
    script += f"e.load_file = lambda p: e_load(pathlib.Path({str(tmp_path / '.env')!r}))\n"
    script += "from django.conf import settings as s; print(s.DATABASES['default']['ENGINE'])"
    environment = {
        "PATH": os.environ["PATH"],
        "DJANGO_SETTINGS_MODULE": "yard.config.settings",
        "SLABWRIGHT_MODE": mode,
        "SLABWRIGHT_DATA_DIR": str(tmp_path),
    }
    done = run(script, environment)
    assert done.stdout.strip() == f"django.db.backends.{kind}", done.stderr


def test_demo_ignores_a_database_url(tmp_path):
    engine = printed(tmp_path, "s.DATABASES['default']['ENGINE']", SLABWRIGHT_MODE="demo", DATABASE_URL="postgres://a@b/c")
    assert engine == "django.db.backends.sqlite3"


def test_argon2_is_what_a_real_yard_hashes_with():
    hashed = Argon2PasswordHasher().encode("a long enough one", "somesaltsomesalt")
    assert hashed.startswith("argon2$argon2id$")


def test_developers_table_names_every_setting_and_no_other():
    read = re.findall(r'env\.\w+\(\s*"([A-Z_]+)"', (ROOT / "yard/config/settings.py").read_text(encoding="utf-8"))
    table = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Settings")[1].split("\n## ")[0]
    written = re.findall(r"^\| `([A-Z_]+)` \|", table, re.MULTILINE)
    assert sorted(written) == sorted(set(read))


def test_every_command_is_explained():
    words = (ROOT / "README.md").read_text(encoding="utf-8") + (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    folders = [folder for folder in ROOT.glob("*/management/commands") if not folder.parts[-3].startswith(".")]
    commands = {path.stem for folder in folders for path in folder.glob("[a-z]*.py")}
    missing = sorted(name for name in commands if f"manage.py {name}" not in words)
    assert missing == []


def test_page_carries_the_security_headers(db):
    headers = Client().get("/login/").headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert {"private", "no-cache"} <= set(headers["Cache-Control"].split(", "))
    assert "HX-Request" in headers["Vary"]
    assert "Permissions-Policy" in headers
