"""Every notebook runs from top to bottom, and is kept in git without what it printed."""

import json
from pathlib import Path

import pytest

NOTEBOOKS = sorted((Path(__file__).parents[1] / "notebooks").glob("*.ipynb"))
EACH = pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda notebook: notebook.stem)


def test_there_are_notebooks():
    """The first cruise is among them, so that the tests below have something to fail on."""
    assert "first_cruise" in {notebook.stem for notebook in NOTEBOOKS}


@EACH
def test_a_notebook_is_kept_without_outputs(notebook):
    """No output, no count of runs, no kernel of one machine; every cell says something."""
    told = json.loads(notebook.read_text(encoding="utf-8"))
    assert set(told["metadata"]) <= {"kernelspec", "language_info"}
    for cell in told["cells"]:
        assert "".join(cell["source"]).strip()
        if cell["cell_type"] == "code":
            assert cell["outputs"] == []
            assert cell["execution_count"] is None


@pytest.mark.slow
@EACH
def test_a_notebook_runs_from_top_to_bottom(notebook):
    """All cells run without an error in a fresh kernel, and the file itself is left as it was."""
    import nbclient
    import nbformat

    before = notebook.read_bytes()
    story = nbformat.read(notebook, as_version=4)
    where = {"metadata": {"path": str(notebook.parent)}}
    nbclient.NotebookClient(story, timeout=120, kernel_name="python3", resources=where).execute()
    ran = [cell for cell in story.cells if cell.cell_type == "code"]
    assert all(cell.execution_count for cell in ran)
    outputs = [out for cell in ran for out in cell.outputs]
    assert not [out for out in outputs if out.output_type == "error" or out.get("name") == "stderr"]
    assert notebook.read_bytes() == before
