"""What the command line needs beside its commands: words on a terminal, and handing out files."""
