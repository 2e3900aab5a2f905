from impose.api import (
    Box as Box,
)
from impose.api import (
    Finding as Finding,
)
from impose.api import (
    ImposeError as ImposeError,
)
from impose.api import (
    InputError as InputError,
)
from impose.api import (
    Job as Job,
)
from impose.api import (
    JobError as JobError,
)
from impose.api import (
    Length as Length,
)
from impose.api import (
    Made as Made,
)
from impose.api import (
    ManyProgress as ManyProgress,
)
from impose.api import (
    Outcome as Outcome,
)
from impose.api import (
    OutputError as OutputError,
    Part as Part,
)
from impose.api import (
    Plan as Plan,
)
from impose.api import (
    Progress as Progress,
)
from impose.api import (
    Result as Result,
)
from impose.api import (
    Severity as Severity,
)
from impose.api import (
    Size as Size,
)
from impose.api import (
    Stage as Stage,
)
from impose.api import (
    UnitError as UnitError,
)
from impose.api import (
    check as check,
    check_sheets as check_sheets,
)
from impose.api import (
    job_of_pages as job_of_pages,
)
from impose.api import (
    job_of_values as job_of_values,
)
from impose.api import (
    make as make,
)
from impose.api import (
    make_many as make_many,
)
from impose.api import (
    plan_data as plan_data,
)
from impose.api import (
    read_job as read_job,
)
from impose.api import (
    read_plan as read_plan,
)

__version__: str
