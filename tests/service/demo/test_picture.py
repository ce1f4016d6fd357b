from io import BytesIO

from PIL import Image

from service.demo.picture import label_picture
from service.usecases.work.images import made_anew


def test_the_demo_s_picture_is_one_that_the_service_takes() -> None:
    kept = made_anew(label_picture(), "image/jpeg", most_pixels=1_000_000)
    assert (kept.width_px, kept.height_px) == (640, 480)
    with Image.open(BytesIO(kept.content)) as image:
        assert len(image.getcolors(1_000_000) or []) > 3
