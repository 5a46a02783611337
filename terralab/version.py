"""The version of terralab: its only home. The package data and every record and report read it here."""

VERSION = "0.1.0"
