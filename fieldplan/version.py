"""The version of this package; the package index and every output take it from here."""

VERSION = "0.2.0"
