"""What the tests share is read by the processes that run them, and not by one that only hands them out to workers."""

import os

# Tests run beside one another on all cores: threads of the libraries' own only get in each other's way.
os.environ.update(dict.fromkeys(("IGL_NUM_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "1"))


def pytest_configure(config):
    if hasattr(config, "workerinput"):
        from sections.solids.one_thread import keep_to_one_thread

        keep_to_one_thread()
    if hasattr(config, "workerinput") or not config.getoption("numprocesses", None):
        config.pluginmanager.import_plugin("tests.shared")
